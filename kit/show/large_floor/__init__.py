"""Large uneven floors on the screen: maps of cells, zones, the walk, a section to draw."""
