"""What is stored, for whom, and who may touch it. Knows the database and nothing of HTTP."""
