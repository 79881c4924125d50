"""Musicianship: what a musician does without an instrument."""
