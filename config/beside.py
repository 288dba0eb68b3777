"""gunicorn's settings beside those `serve` gives it by word: it ends with the process that started it."""

import os
import signal

from config.worker import end_with_parent


def on_starting(server) -> None:
    # Politely: whoever is being answered still gets the answer.
    end_with_parent(lambda: os.kill(os.getpid(), signal.SIGTERM))
