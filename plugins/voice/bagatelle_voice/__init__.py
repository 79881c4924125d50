"""The voice: warming up, tone, technique, text, reading and ear, as a teacher of singing sets them."""
