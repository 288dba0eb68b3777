"""gunicorn's settings beside those `serve` gives it by word: it ends with the process that started it, and its log
reads as the house's.
"""

import os
import signal

from gunicorn.glogging import Logger

from config.logs import ServerLine
from config.worker import end_with_parent


class HouseLogger(Logger):
    def setup(self, cfg) -> None:
        super().setup(cfg)
        for handler in self.error_log.handlers:
            handler.setFormatter(ServerLine())


logger_class = HouseLogger


def on_starting(server) -> None:
    # Politely: whoever is being answered still gets the answer.
    end_with_parent(lambda: os.kill(os.getpid(), signal.SIGTERM))
