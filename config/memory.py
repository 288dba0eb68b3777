"""What a server's process holds for good, kept out of the way of the collector."""

import gc


def settle() -> None:
    """What is loaded by now lives as long as the process: Python's collector need not look through it with every full
    round (a page in twenty waited for one), and forked processes go on sharing its memory.
    """
    gc.collect()
    gc.freeze()
