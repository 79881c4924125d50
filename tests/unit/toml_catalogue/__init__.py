"""The form of catalogues in TOML."""
