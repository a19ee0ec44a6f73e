"""DXF: cutting files and drawings."""
