"""The code printed on the box: grade, day of dipping, running number of that day ("F26-1125-03").

F for firsts, S for seconds, so that the grades are told apart on the shelf; then year, month and day; then a number
that begins at 01 for each grade and day and may grow past 99.
"""

from datetime import date

from django.db import connection

from inventory.models import FIRSTS, Lot

LOT_CODES = 7_120_001  # the lock's number: any that nobody else in the database uses


def lock_codes() -> None:
    """Codes are given out by one hand at a time, to the end of its transaction. Before lots are locked.

    On PostgreSQL: two that open several lots each, in other orders, would wait for each other's codes. On SQLite one
    hand at a time writes at all.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [LOT_CODES])


def next_code(grade: str, made_on: date) -> str:
    """The first free code of that grade and day. Needs a transaction."""
    lock_codes()
    stem = code_stem(grade, made_on)
    taken = Lot.objects.filter(code__startswith=stem)
    if connection.vendor == "sqlite":
        # Its LIKE reads every lot there ever was; the range finds them in the index. PostgreSQL's sorts by language.
        taken = taken.filter(code__gt=stem, code__lt=f"{stem}~")
    # Codes typed by hand may share the stem; only those that end in a number count.
    ends = [code.removeprefix(stem) for code in taken.values_list("code", flat=True)]
    numbers = [int(end) for end in ends if end.isdecimal()]
    return f"{stem}{max(numbers, default=0) + 1:02d}"


def code_stem(grade: str, made_on: date) -> str:
    """What the codes of a grade and day begin with."""
    return f"{'F' if grade == FIRSTS else 'S'}{made_on:%y-%m%d}-"
