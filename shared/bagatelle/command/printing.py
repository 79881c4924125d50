"""Printing to whoever reads, as long as somebody does."""

import os
import sys


def print_out(text: str) -> None:
    """Print, escaping what the reader has no letters for; quietly stop where the reader is gone, as `head` is."""
    encoding = sys.stdout.encoding or "utf-8"
    try:
        print(text.encode(encoding, "backslashreplace").decode(encoding), flush=True)
    except BrokenPipeError:
        # What is still buffered would be tried again at exit (the note on SIGPIPE in Python's own documentation).
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
