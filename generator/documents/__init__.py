"""What hands and shops read: paper templates, shop drawings, the setup sheet."""
