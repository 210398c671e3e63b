"""The practice floor: made floors, instruments that obey physics, drills and their marking."""
