"""The snare drum: the forty international rudiments, and exercises as a teacher sets them."""
