"""PDF: sheets in pages."""
