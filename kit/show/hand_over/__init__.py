"""What goes to site and what comes back, on the screen."""
