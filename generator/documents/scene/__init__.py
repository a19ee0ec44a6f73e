"""Solids as plane faces, built without the CAD kernel: for pictures, the 3D model and questions of room."""
