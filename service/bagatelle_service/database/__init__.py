"""Storage: the tables, the connection to them, and their migrations."""
