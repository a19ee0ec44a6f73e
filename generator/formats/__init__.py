"""A folder a file format, reader and writer side by side."""
