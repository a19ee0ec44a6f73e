"""What the bench needs: the setup sheet's content and pictures, correction tables and plots, the reset template."""
