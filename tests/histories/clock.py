"""A clock that stands still until a history moves it: no step sees the wall clock."""

from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from unittest import mock

BEGINS = datetime(2026, 9, 7, 8, 0, tzinfo=UTC)  # a Monday morning


class Clock:
    """`now` stands; `step` moves it on by a minute, `days` to the morning so many days later."""

    def __init__(self):
        self.now = BEGINS

    @property
    def today(self) -> date:
        return self.now.date()

    def step(self) -> None:
        self.now += timedelta(minutes=1)

    def days(self, days: int) -> None:
        if days:
            self.now = (self.now + timedelta(days=days)).replace(hour=8, minute=0)

    @contextmanager
    def instead_of_ours(self):
        """Django's clock, which is the only one the house asks, tells this clock's time."""
        with mock.patch("django.utils.timezone.now", side_effect=lambda: self.now):
            yield self
