"""The setting-out board: plan, elevation, tables and controls over one job."""
