"""Answers that stay the same to the byte, on every Python and in every process, until changed on purpose."""
