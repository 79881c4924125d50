"""The HTTP API of Bagatelle."""
