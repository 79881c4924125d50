"""The violin: bow, left hand, scales, double stops and music, as a teacher sets them."""
