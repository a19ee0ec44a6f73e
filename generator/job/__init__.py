"""A job: its model, presets, shop file, and the tables that fasteners come in."""
