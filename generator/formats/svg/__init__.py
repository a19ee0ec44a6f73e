"""SVG: sheets and pictures."""
