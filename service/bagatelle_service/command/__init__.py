"""What the service adds to the `bagatelle` command."""
