"""The voice's catalogue against what is published, music21, and lengths worked out from its words."""
