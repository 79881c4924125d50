"""Parts of a forecast by themselves."""
