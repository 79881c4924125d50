"""A demonstration: two routines of invented people go to a running service, and their plans are printed."""
