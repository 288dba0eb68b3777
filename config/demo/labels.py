"""The demo's sheets of labels, its house numbers for cases and three test burns: invented, as all of the demo."""

import random
from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID

from inventory.models import Candle, LabelSheet, Workshop
from production.burn_findings import CYCLE_MIN
from production.domain.burn_tests import add_cycle, begin_test

# Numbers that begin with 29 are a house's own and mean nothing outside it.
HOUSE_PREFIX = "2900000"
SHEETS = (
    {"name": "8 to A4, 99 x 68", "columns": 2, "rows": 4, "label_w_mm": "99.1", "label_h_mm": "67.7", "left_mm": "4.7",
     "top_mm": "13.1", "gap_x_mm": "2.4"},
    {"name": "4 to A4, 99 x 139", "columns": 2, "rows": 2, "label_w_mm": "99.1", "label_h_mm": "139", "left_mm": "4.7",
     "top_mm": "9.5", "gap_x_mm": "2.4"},
    {"name": "2 to A4, halves", "columns": 1, "rows": 2, "label_w_mm": "210", "label_h_mm": "148.5"},
)  # fmt: skip
STANDS_BY_ITSELF_MM = 40
# Code: g an hour about which its samples burn, days ago, soot index an hour.
BURNT = {"IV250": (6.4, 40, "0.35"), "BW250": (5.6, 24, "0.28"), "CH300": (7.9, 9, None)}
ONLY_BEGUN = "CH300"


def make_labels(rng: random.Random, *, today: date, by) -> None:
    """Sheets to print on, a prefix for the cases' numbers, and burns of three candles, one of them not finished."""
    LabelSheet.objects.bulk_create(
        LabelSheet(**{name: Decimal(value) if name.endswith("_mm") else value for name, value in sheet.items()})
        for sheet in SHEETS
    )
    Workshop.objects.filter(pk=1).update(gs1_prefix=HOUSE_PREFIX)
    Candle.objects.filter(base_mm__gte=STANDS_BY_ITSELF_MM).update(needs_holder=False)
    for code, (rate, days_ago, soot) in BURNT.items():
        candle = Candle.objects.select_related("wax").get(code=code)
        _burn(rng, candle, today - timedelta(days=days_ago), rate=rate, soot=soot, by=by)


def _burn(rng: random.Random, candle: Candle, begun_on: date, *, rate: float, soot: str | None, by) -> None:
    """Three samples in cycles of 240 minutes, the last one as long as the wax reaches down to the last 10 mm."""
    one = float(candle.grams_a_pair) / 2
    masses = [Decimal(f"{one * rng.uniform(0.99, 1.01):.1f}") for _ in range(3)]
    test = begin_test(candle=candle, masses=masses, begun_on=begun_on, submission=_submission(rng), by=by)
    for sample, mass in enumerate(masses, start=1):
        pace, left, cycle = rate * rng.uniform(0.96, 1.04), float(mass), 0
        stop = one * 10 / float(candle.length_mm)
        while left - stop > 0.5 and not (candle.code == ONLY_BEGUN and cycle == 2):
            minutes = min(CYCLE_MIN, max(1, round(60 * (left - stop) / pace)))
            left -= pace * minutes / 60
            values = {
                "rest_min": 0 if cycle == 0 else rng.choice((60, 65, 75, 90)),
                "minutes": minutes,
                "mass_g": Decimal(f"{max(left, 0):.2f}"),
                "flame_mm": rng.randint(32, 46),
                "glow_s": Decimal(f"{rng.uniform(6, 19):.1f}"),
                "relit": False,
                "soot_index": Decimal(soot) + Decimal(rng.randint(-5, 5)) / 100 if soot else None,
                "note": "",
                "burnt_on": begun_on + timedelta(days=cycle // 2),
            }
            add_cycle(test=test, sample=sample, values=values, submission=_submission(rng), by=by)
            cycle += 1


def _submission(rng: random.Random) -> UUID:
    return UUID(int=rng.getrandbits(128), version=4)
