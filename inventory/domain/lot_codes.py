"""The code printed on the box: grade, day of dipping, running number of that day ("F26-1125-03").

F for firsts, S for seconds, so that the grades are told apart on the shelf; then year, month and day; then a number
that begins at 01 for each grade and day and may grow past 99.
"""

from datetime import date

from django.db import connection

from inventory.models import FIRSTS, Lot


def next_code(grade: str, made_on: date) -> str:
    """The first free code of that grade and day. Two who ask at once get the same: see open_lot, which asks again."""
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
