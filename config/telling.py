"""What the commands say while they work. Standard library only, because the set-up speaks before there is more."""

import sys
import threading
from contextlib import ExitStack, contextmanager

TICK_SECONDS = 2


def say(words=""):
    """One line to the person at the terminal, at once even where a pipe would keep it back."""
    print(words, flush=True)


def complain(words):
    """One line about what went wrong."""
    print(words, file=sys.stderr, flush=True)


@contextmanager
def busy(words):
    """Says `words ...`, and a dot every two seconds as long as the block runs."""
    done = threading.Event()

    def tick():
        while not done.wait(TICK_SECONDS):
            print(".", end="", flush=True)

    print(f"{words} ...", end="", flush=True)
    ticking = threading.Thread(target=tick, daemon=True)
    ticking.start()
    try:
        yield
    finally:
        done.set()
        ticking.join()
        print(flush=True)


@contextmanager
def steps():
    """Gives a function to call with each step's words: the step before is over, and the new one gets its dots."""
    with ExitStack() as current:

        def step(words):
            current.close()
            current.enter_context(busy(words))

        yield step
