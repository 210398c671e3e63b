"""The practice page: pictures and tables of what was given, seen and marked."""
