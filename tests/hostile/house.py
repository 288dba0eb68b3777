"""What the hostile tests share: a season with an address for every name, and whether anything was written."""

from dataclasses import dataclass

from django.db import connection

from tests.every_page import every_address
from tests.factories.season import Season


@dataclass(frozen=True)
class World:
    season: Season
    addresses: dict[str, str]


def make_world() -> World:
    return World(*every_address())


def rows_changed() -> int:
    """A number that grows with every row this connection writes. SQLite counts them itself; elsewhere it stays 0."""
    return connection.connection.total_changes if connection.vendor == "sqlite" else 0
