"""From settings to units, one module for each kind of work."""
