"""The `bagatelle` command and its subcommands."""
