"""Frozen value types: what is asked (`request`), what is known (`exercise`), what is answered (`plan`)."""
