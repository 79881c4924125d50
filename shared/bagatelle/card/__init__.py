"""Cards and the day sheets that are made from them."""
