"""Writes lots in the making into the stockroom: the lots, and every movement of their pairs."""

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time

from django.utils import timezone

from config.demo.floor_year import Year
from config.demo.stock import Batch
from inventory.domain.lot_codes import code_stem
from inventory.models import Candle, Lot, Movement, Shelf

BATCH = 500


def at(day: date, hour: int = 11, minute: int = 0) -> datetime:
    return timezone.make_aware(datetime.combine(day, time(hour, minute)))


def write_lots(
    batches: Iterable[Batch], year: Year, candles: Sequence[Candle], notes: dict, person
) -> tuple[dict[int, Lot], dict[tuple, Movement]]:
    """Lots by the id of their batch, and the movements of what was sent by (batch id, tag)."""
    batches = list(batches)
    lots = _lots(batches, year, candles)
    movements = {}
    for batch in batches:
        for day, kind, pairs, tag in sorted(batch.moves, key=lambda move: (move[0], -move[2])):
            reason = "too old to sell" if kind == "remelted" else ""
            reference = year.code_of[id(batch.hung)] if kind == "made" else notes.get(tag, "")
            movements[id(batch), tag or len(movements)] = Movement(
                lot=lots[id(batch)], kind=kind, pairs=pairs, reason=reason, reference=reference,
                person=person, at=at(day, 15 if pairs > 0 else 16),
            )  # fmt: skip
    Movement.objects.bulk_create(movements.values(), batch_size=BATCH)
    return lots, movements


def _lots(batches: list[Batch], year: Year, candles: Sequence[Candle]) -> dict[int, Lot]:
    seconds_shelf = Shelf.objects.get(code="S1")
    taken = Lot.objects.values_list("code", flat=True)
    serial = Counter(code[: code.rindex("-") + 1] for code in taken)
    lots = {}
    for batch in batches:
        stem = code_stem(batch.grade, batch.made_on)
        serial[stem] += 1
        lots[id(batch)] = Lot(
            code=f"{stem}{serial[stem]:02d}",
            candle=candles[batch.candle],
            grade=batch.grade,
            fault=batch.fault,
            dip_run=year.run_of[id(batch.hung)].code,
            shelf=seconds_shelf if batch.grade == "seconds" else candles[batch.candle].shelf,
            made_on=batch.made_on,
            on_hand=batch.left,
        )
    Lot.objects.bulk_create(lots.values(), batch_size=BATCH)
    return lots
