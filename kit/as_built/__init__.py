"""What comes back: readings on the finished base, how level it is, what would bring it in."""
