"""The trumpet: exercises as a teacher sets them, from first breaths to orchestral calls."""
