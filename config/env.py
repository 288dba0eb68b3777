"""Reads settings from the environment, strictly: a misspelt value stops the start."""

import os
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

TRUE, FALSE = {"1", "true", "yes", "on"}, {"0", "false", "no", "off", ""}


def env_bool(name: str, default: bool = False) -> bool:
    """The flag `name`; raises ImproperlyConfigured for anything but yes or no."""
    raw = os.environ.get(name)
    if raw is None:
        return default
    if raw.lower() in TRUE:
        return True
    if raw.lower() in FALSE:
        return False
    raise ImproperlyConfigured(f"{name} must be 1 or 0, not {raw!r}")


def env_list(name: str, default: str = "") -> list[str]:
    """A comma-separated list, blanks dropped."""
    return [part.strip() for part in os.environ.get(name, default).split(",") if part.strip()]


def env_secret(name: str, file: Path) -> str | None:
    """A secret from the variable `name`, else from `file` (written by the first start), else None."""
    if value := os.environ.get(name):
        return value
    try:
        return file.read_text().strip() or None
    except OSError:
        return None
