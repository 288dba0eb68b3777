"""What the log says: one line an event, to the standard error stream, without anything a person typed or is known by.

A fault's own words may hold what was in the form (a database names the row it refuses), a shop's link is a key, and a
query string holds what was searched for. So a line names the page by its pattern, and a fault by its kind and places.
"""

import logging
import traceback
from pathlib import Path

HOUSE = Path(__file__).resolve().parent.parent
LONGEST = 500  # characters of a message
PLACES_SHOWN = 6


class OneLine(logging.Formatter):
    """Time, level, logger, what happened; for a fault its kind and where it came from, innermost place last."""

    default_time_format, default_msec_format = "%Y-%m-%dT%H:%M:%S%z", None

    def format(self, record: logging.LogRecord) -> str:
        parts = [f"{self.formatTime(record)} {record.levelname} {record.name}: {self.happened(record)}"]
        if record.exc_info and record.exc_info[1] is not None:
            parts.append(fault(record.exc_info[1]))
        return "; ".join(parts)

    def happened(self, record: logging.LogRecord) -> str:
        request = getattr(record, "request", None)
        if request is None or not hasattr(record, "status_code"):
            # A newline in it would look like a second event.
            return record.getMessage().encode("unicode_escape").decode()[:LONGEST]
        match = getattr(request, "resolver_match", None)
        return f"{record.status_code} {request.method} {'/' + match.route if match else 'no such page'}"


class ServerLine(OneLine):
    """The same of the server's own events: that a request went wrong, not its address, nor whose it was."""

    def happened(self, record: logging.LogRecord) -> str:
        words = super().happened(record)
        return next(
            (known for known in ("Error handling request", "Invalid request") if words.startswith(known)), words
        )


def fault(error: BaseException) -> str:
    """Its kind, those of what caused it, and the way through the house to it: "KeyError at orders/x.py:12 < ..."."""
    kinds, cause = [], error
    while cause is not None and len(kinds) < PLACES_SHOWN:
        kinds.append(type(cause).__name__)
        cause = cause.__cause__ or (None if cause.__suppress_context__ else cause.__context__)
    steps = traceback.extract_tb(error.__traceback__)
    own = [step for step in steps if _is_own(step.filename)] or steps[-1:]
    places = [f"{_shown(step.filename)}:{step.lineno} {step.name}" for step in reversed(own[-PLACES_SHOWN:])]
    return " from ".join(kinds) + (" at " + " < ".join(places) if places else "")


def _is_own(file: str) -> bool:
    path = Path(file)
    return path.is_relative_to(HOUSE) and not path.relative_to(HOUSE).parts[0].startswith(".")


def _shown(file: str) -> str:
    return Path(file).relative_to(HOUSE).as_posix() if _is_own(file) else Path(file).name


def logging_at(level: str) -> dict:
    """Django's LOGGING for this level, as "WARNING". Refused forms and pages not there are told from INFO on only."""
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"one line": {"()": OneLine}},
        "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "one line"}},
        "root": {"handlers": ["stderr"], "level": level},
        "loggers": {
            # Django's own set-up would mail errors to nobody and be silent otherwise.
            "django": {"handlers": [], "level": level},
            "django.request": {"level": level if level == "INFO" else "ERROR"},
            # SQL and its values would be told.
            "django.db.backends": {"level": "WARNING"},
        },
    }
