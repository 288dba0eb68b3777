"""The day a shop wrote into its form."""

from datetime import date

import pytest

from orders.order_form.heads import read_day


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("2026-12-09", date(2026, 12, 9)),
        ("Wed 9 Dec 2026", date(2026, 12, 9)),
        ("Wednesday, 9th December", date(2026, 12, 9)),
        ("December 9, 2026", date(2026, 12, 9)),
        ("9-Dec-26", date(2026, 12, 9)),
        ("10/9/2026", date(2026, 9, 10)),
        ("12/9/26", date(2026, 12, 9)),  # the twelfth of September was not offered, the ninth of December was
        ("28.11.2026", date(2026, 11, 28)),
        ("3 January", date(2027, 1, 3)),
        ("as soon as you can", None),
        ("31/2/2026", None),
        ("9 Xmas", None),
        ("46365", None),
    ],
)
def test_a_day_is_read_as_it_is_written(written, meant):
    assert read_day(written, date(2026, 8, 3), {date(2026, 12, 9)}) == meant
