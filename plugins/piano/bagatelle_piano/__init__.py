"""What Bagatelle knows of the piano."""
