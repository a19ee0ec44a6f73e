"""Bodies of plane faces: what pictures and 3D models show, without the CAD kernel."""
