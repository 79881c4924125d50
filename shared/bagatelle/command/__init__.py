"""The `bagatelle` command. Other distributions add subcommands by entry points of `bagatelle.commands`."""
