"""Progress, part by part."""
