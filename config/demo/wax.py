"""What became of the demo's wax: levels and top-ups of the vats, ends weighed in, remelt, a recount. All invented."""

import random
import uuid
from collections import defaultdict
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from django.utils import timezone

from config.demo.lots import BATCH
from inventory.domain.material_lots import adjust_material_lot
from inventory.models import MaterialLot
from production.domain.remelting import weigh_in_remelt
from production.models import RunFrame, VatReading, WickEnds
from production.queries.remelt import lying_for_remelt
from production.queries.wax import bath_of
from production.wax_drawn import frame_grams
from production.wax_use import level_drop_mm

WEEKS = 4
FULL_MM, MOST_LOW_MM = 25, 60  # a vat in the morning; how far it may have fallen by the evening
LOST = (0.004, 0.022)  # of what left a vat: drips, splashes, what sticks to hooks and scrapers
WORTH_MELTING_G = 5_000  # smaller tubs wait
WEIGHED, GREY = (0.95, 0.99), "strained twice, a little grey"


def write_wax(rng: random.Random, *, today: date, owner, dippers) -> None:
    """The last weeks' traces of wax, and what was weighed in and recounted today."""
    first = today - timedelta(weeks=WEEKS)
    _read_levels(rng, first, today, dippers[0])
    _weigh_ends(rng, first, today, dippers[1])
    _recount(rng, owner)
    _remelt(rng, dippers[0])


def _read_levels(rng: random.Random, first: date, today: date, dipper) -> None:
    """Full in the morning, topped up at noon, read when the day's frames are off."""
    days: dict[tuple[int, date], list[RunFrame]] = defaultdict(list)
    rows = RunFrame.objects.filter(run__started_at__gte=_at(first, 0), run__ended_at__lt=_at(today, 0), dips__gt=0)
    for row in rows.select_related("run__vat", "run__wax", "frame__candle__wax").order_by("run"):
        days[row.run.vat_id, timezone.localdate(row.run.started_at)].append(row)
    readings = []
    for (_, day), dipped in sorted(days.items(), key=lambda pair: pair[0]):
        run = dipped[-1].run
        bath = replace(bath_of(run.vat), liquid_density=float(run.wax.density_liquid))
        grams = sum(frame_grams(row.frame.hung, row.frame.candle.grams_a_pair) for row in dipped)
        left = grams * (1 + rng.uniform(*LOST))
        stays_out = rng.uniform(5, MOST_LOW_MM) / level_drop_mm(1000, bath)  # kg that nobody tops up
        top_up = max(0, round((left / 1000 - stays_out) * 2) / 2)
        low = round(FULL_MM + level_drop_mm(left - 1000 * top_up, bath))
        readings.append(VatReading(vat=run.vat, kind="change-over", level_mm=FULL_MM, at=_at(day, 7, 50)))
        if top_up:
            readings.append(VatReading(vat=run.vat, kind="top-up", kilograms=top_up, at=_at(day, 12, 15)))
        readings.append(VatReading(vat=run.vat, kind="level", level_mm=low, at=_at(day, 16, 45)))
    for reading in readings:
        reading.person = dipper
    VatReading.objects.bulk_create(readings, batch_size=BATCH)


def _weigh_ends(rng: random.Random, first: date, today: date, dipper) -> None:
    """Ends of the week, swept up on Fridays; some are bagged at once."""
    rows = []
    for days in range((today - first).days):
        day = first + timedelta(days=days)
        if day.weekday() == 4:
            grams = rng.randrange(1_800, 3_200, 50)
            rows.append(WickEnds(kind="weighed in", grams=grams, person=dipper, at=_at(day, 15, 40)))
            rows.append(WickEnds(kind="bagged", grams=-1_500, bags=5, person=dipper, at=_at(day, 15, 50)))
    WickEnds.objects.bulk_create(rows)


def _recount(rng: random.Random, owner) -> None:
    """Somebody put the pellets on the scales: a little less than the book says."""
    wax = MaterialLot.objects.filter(material__kind="wax", material__remelt_of=None, on_hand__gt=50_000)
    for lot in wax.order_by("material", "came_on", "pk").distinct():
        missing = round(lot.on_hand * rng.uniform(0.001, 0.012))
        adjust_material_lot(
            lot=lot, kind="recounted", amount=lot.on_hand - missing, reason="Weighed at the month's end.", by=owner
        )


def _remelt(rng: random.Random, dipper) -> None:
    """The large tubs were melted down today; what little is in the others waits."""
    for n, row in enumerate(lying_for_remelt()):
        if row.tub.left < WORTH_MELTING_G:
            continue
        weigh_in_remelt(
            wax=row.wax,
            colour=row.colour,
            grams=round(row.tub.left * rng.uniform(*WEIGHED) / 100) * 100,
            left=0,
            note=GREY if n % 4 == 2 else "",
            submission=uuid.uuid5(uuid.NAMESPACE_OID, f"demo remelt {n}"),
            by=dipper,
        )


def _at(day: date, hour: int, minute: int = 0) -> datetime:
    return timezone.make_aware(datetime.combine(day, time(hour, minute)))
