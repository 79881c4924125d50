"""The planning engine: pure functions, no clock, no randomness, no input or output."""
