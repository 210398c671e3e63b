"""One module for each drill; `DRILLS` lists them in the order of the work on site."""
