"""Re-derives what must always be true of candles, lots and movements: one line a breach.

A constant number of queries; rows that break a rule are found by the database and read one by one. Nothing is mended.
"""

import re
from collections.abc import Iterable, Iterator
from decimal import Decimal

from django.db import connection, models
from django.db.models import BigIntegerField, F, IntegerField, OuterRef, Q, Subquery, Sum, Value
from django.db.models.functions import Coalesce
from stdnum import ean

from inventory.models import (
    FIRSTS,
    GRADES,
    SECONDS,
    BlendPart,
    Candle,
    DyePart,
    Lot,
    Material,
    MaterialLot,
    MaterialMovement,
    Movement,
    Purchase,
    StockCount,
    Wax,
    Workshop,
)
from inventory.models.lot import ADDING, EITHER, TAKING
from inventory.triggers import VERBS, present_triggers

GUARDED = ("inventory_movement", "inventory_record", "inventory_materialmovement")
NAMED = re.compile(r'CONSTRAINT "(\w+)"')
CONSTRAINED = (
    BlendPart, Candle, DyePart, Lot, Material, MaterialLot, MaterialMovement, Movement, Purchase, StockCount, Wax,
    Workshop,
)  # fmt: skip


def breaches() -> Iterator[str]:
    """Every breach found, as a sentence that names the row."""
    yield from _sums()
    yield from _set_aside()
    yield from _movements()
    yield from _grades()
    yield from _regraded()
    yield from _candles()
    yield from _waxes()
    yield from _counts()
    yield from _materials()
    yield from missing_guards(GUARDED)
    yield from missing_constraints(CONSTRAINED)


def missing_guards(tables: Iterable[str]) -> Iterator[str]:
    """A line for each append-only trigger the database lacks."""
    present = present_triggers(connection)
    for table in tables:
        for verb in VERBS:
            if f"{table}_no_{verb}".lower() not in present:
                yield f"table {table}: the trigger that refuses {verb} is missing"


def missing_constraints(tables: Iterable[type[models.Model]]) -> Iterator[str]:
    """A line for each constraint of the models that the database lacks. One query."""
    present = _present_constraints()
    for model in tables:
        for constraint in model._meta.constraints:
            if constraint.name not in present:
                yield f"table {model._meta.db_table}: the constraint {constraint.name} is missing"


def _present_constraints() -> set[str]:
    """Names of constraints and indexes in the database."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SELECT conname FROM pg_constraint UNION SELECT relname FROM pg_class WHERE relkind = 'i'")
            return {name for (name,) in cursor.fetchall()}
        # SQLite keeps a table's constraints in the text that made it only.
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL")
        rows = cursor.fetchall()
    return {name for name, _ in rows} | {name for _, sql in rows for name in NAMED.findall(sql)}


def _sums():
    moved = Movement.objects.filter(lot=OuterRef("pk")).order_by().values("lot").annotate(sum=Sum("pairs"))
    moved = Coalesce(Subquery(moved.values("sum"), output_field=IntegerField()), Value(0))
    lots = Lot.objects.annotate(moved=moved).exclude(on_hand=F("moved")).order_by("pk")
    for code, on_hand, moved in lots.values_list("code", "on_hand", "moved").iterator():
        yield f"lot {code}: on hand says {on_hand} pairs, its movements add up to {moved}"


def _set_aside():
    wrong = Q(set_aside__lt=0) | Q(set_aside__gt=F("on_hand")) | Q(on_hand__lt=0)
    lots = Lot.objects.filter(wrong).order_by("pk")
    for code, aside, on_hand in lots.values_list("code", "set_aside", "on_hand").iterator():
        yield f"lot {code}: {aside} pairs set aside of {on_hand} on hand"


def _movements():
    right = (
        Q(kind__in=ADDING, pairs__gt=0)
        | Q(kind__in=TAKING, pairs__lt=0)
        | (Q(kind__in=EITHER) & (Q(pairs__gt=0) | Q(pairs__lt=0)))
    )
    wrong = Movement.objects.exclude(right).order_by("pk")
    for pk, code, kind, pairs in wrong.values_list("pk", "lot__code", "kind", "pairs").iterator():
        yield f"lot {code}: movement {pk} is {kind!r} of {pairs:+d} pairs, which does not fit"


def _grades():
    known = [grade for grade, _ in GRADES]
    wrong = ~Q(grade__in=known) | (Q(grade=FIRSTS) & ~Q(fault="")) | Q(grade=SECONDS, fault="")
    lots = Lot.objects.filter(wrong).order_by("pk")
    for code, grade, fault in lots.values_list("code", "grade", "fault").iterator():
        yield f"lot {code}: {grade!r} with fault {fault!r}"


def _regraded():
    """Pairs regraded out of a lot of firsts came into the lot of seconds they name, and the other way round."""
    moved = Movement.objects.filter(kind="regraded").order_by("pk")
    totals: dict[tuple[str, str], int] = {}
    for code, reference, grade, pairs in moved.values_list("lot__code", "reference", "lot__grade", "pairs").iterator():
        totals[code, reference] = totals.get((code, reference), 0) + pairs
        if (pairs < 0) != (grade == FIRSTS):
            yield f"lot {code}: {pairs:+d} pairs of {grade} regraded; firsts become seconds, never back"
    for (code, reference), pairs in totals.items():
        if totals.get((reference, code), 0) != -pairs:
            yield f"lot {code}: {pairs:+d} pairs regraded, but lot {reference!r} does not answer to them"


def _candles():
    wrong = (
        Q(tip_mm__gt=F("base_mm"))
        | Q(tip_mm__lte=0)
        | Q(length_mm__lte=0)
        | Q(trade_price__lte=0)
        | Q(pairs_per_box__lte=0)
    )
    for candle in Candle.objects.filter(wrong).order_by("pk").iterator():
        yield (
            f"candle {candle.code}: {candle.length_mm} x {candle.base_mm} x {candle.tip_mm} mm at "
            f"{candle.trade_price}, {candle.pairs_per_box} pairs to a box, cannot be"
        )
    last = None
    numbered = Candle.objects.exclude(gtin="").order_by("gtin", "pk")
    for code, gtin in numbered.values_list("code", "gtin").iterator():
        if not ean.is_valid(gtin):
            yield f"candle {code}: GTIN {gtin} has a wrong check digit or length"
        if last and last[1] == gtin:
            yield f"candle {code}: GTIN {gtin} is that of {last[0]} too"
        last = code, gtin


def _waxes():
    wrong = Q(density_liquid__gte=F("density_solid")) | Q(density_liquid__lte=0) | Q(density_solid__gt=Decimal("1.2"))
    for wax in Wax.objects.filter(wrong).order_by("pk").iterator():
        yield f"wax {wax}: {wax.density_solid} g/cm3 solid and {wax.density_liquid} molten cannot be"


def _counts():
    for count in StockCount.objects.filter(posted_at__isnull=True, posted_by__isnull=False).order_by("pk").iterator():
        yield f"{count}: posted by somebody, at no time"
    for count in StockCount.objects.filter(posted_at__isnull=False, posted_by__isnull=True).order_by("pk").iterator():
        yield f"{count}: posted by nobody"
    posted = StockCount.objects.filter(posted_at__isnull=False).values_list("pk", flat=True)
    names = {f"Count {pk}" for pk in posted}
    recounts = Movement.objects.filter(kind="recounted").exclude(reference="").order_by("pk")
    for code, reference in recounts.values_list("lot__code", "reference").iterator():
        if reference not in names:
            yield f"lot {code}: recounted by {reference!r}, which was never posted"


def _materials():
    """A lot of a material holds what its movements add up to, and what it began with is what came."""
    moved = MaterialMovement.objects.filter(lot=OuterRef("pk")).order_by().values("lot")
    came = moved.filter(kind__in=("came", "remelted"))
    lots = MaterialLot.objects.annotate(moved=_sum_of(moved), came=_sum_of(came)).order_by("pk")
    wrong = lots.exclude(on_hand=F("moved"), amount=F("came"))
    for code, on_hand, amount, moved, came in wrong.values_list("code", "on_hand", "amount", "moved", "came"):
        if on_hand != moved:
            yield f"material lot {code}: on hand says {on_hand}, its movements add up to {moved}"
        if amount != came:
            yield f"material lot {code}: {amount} came by the lot, {came} by its movements"
    blends = BlendPart.objects.order_by("wax").values_list("wax__name").annotate(percent=Sum("percent"))
    for wax, percent in blends.exclude(percent=100):
        yield f"wax {wax}: the parts of its blend make {percent.normalize():f} %"


def _sum_of(movements):
    summed = movements.annotate(sum=Sum("amount")).values("sum")
    return Coalesce(Subquery(summed, output_field=BigIntegerField()), Value(0), output_field=BigIntegerField())
