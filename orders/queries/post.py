"""Which letters a person may read."""

from config.roles import works_as
from orders.models import Letter
from orders.models.paper import LATE_CHARGE, REMINDER, STATEMENT

# Letters about money, as the papers they take along, are the bookkeeper's.
MONEY = (STATEMENT, REMINDER, LATE_CHARGE)


def letters_open_to(person):
    """The letters a person may read, the newest first."""
    rows = Letter.objects.order_by("-pk")
    return rows if works_as(person, "bookkeeper") else rows.exclude(kind__in=MONEY)


def letters_stranded(person) -> int:
    """How many of them failed or broke off: for Today. Nobody but those who may act on them is told."""
    return letters_open_to(person).stranded().count() if works_as(person, "packer", "bookkeeper") else 0
