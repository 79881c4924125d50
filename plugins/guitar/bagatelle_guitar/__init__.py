"""The guitar for Bagatelle."""
