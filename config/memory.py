"""What a server's process holds for good: loaded before the first visitor, and kept out of the collector's way."""

import gc

from django.urls import resolve


def settle() -> None:
    """Load the pages now, and not while the first visitor waits; then tell Python's collector to leave alone what is
    loaded. It lives as long as the process, every full round looked through all of it (a page in twenty waited for
    one), and processes forked from here go on sharing its memory.
    """
    resolve("/")
    gc.collect()
    gc.freeze()
