"""The check sheet gone through, morning and evening: the points in order or not, and what each vat stands at."""

from collections.abc import Iterable
from decimal import Decimal
from uuid import UUID, uuid5

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from production.check_points import EVENING, POINTS, not_ticked
from production.domain.vats import refuse_no_heat, with_verdict, write_reading
from production.heat import HOT_C
from production.models import FloorCheck, Vat


@transaction.atomic
def save_check(
    *, part: str, ticked: Iterable[str], vats: dict[int, dict[str, Decimal | None]], note: str, tap: UUID, by
) -> FloorCheck:
    """Keep a check sheet: keys of the points in order, and by vat id what was read ("celsius", "level_mm" or None).

    The same `tap` again is the sheet it made the first time. ValidationError where a point is left open and `note`
    does not say what was done, or where a figure is no vat's (its field: "vat-3-celsius").
    """
    if done := FloorCheck.objects.filter(tap=tap).first():
        return done
    if part not in POINTS:
        raise ValidationError("The sheet has a morning and an evening part.")
    missing = not_ticked(part, ticked)
    if missing and not note.strip():
        raise ValidationError({"note": "Not every point is ticked: say what is not in order, and what was done."})
    now = timezone.localtime()
    check = FloorCheck(
        day=now.date(), part=part, not_in_order="\n".join(missing), note=note.strip(), person=by, at=now, tap=tap
    )
    check.full_clean()
    try:
        with transaction.atomic():
            check.save(force_insert=True)
    except IntegrityError:
        # The second of two taps sent at once waited for the first.
        return FloorCheck.objects.get(tap=tap)
    rows = Vat.objects.select_for_update(of=("self",)).filter(pk__in=vats).select_related("wax", "colour")
    for vat in rows.order_by("pk"):
        _read(vat, check, vats[vat.pk])
    return check


def _read(vat: Vat, check: FloorCheck, figures: dict[str, Decimal | None]) -> None:
    celsius, level = figures.get("celsius"), figures.get("level_mm")
    if celsius is None and level is None:
        return
    if celsius is not None:
        refuse_no_heat(celsius, f"vat-{vat.pk}-celsius")
    if level is not None:
        if not 0 <= level <= vat.depth_mm:
            raise ValidationError({f"vat-{vat.pk}-level_mm": f"Between 0 and {vat.depth_mm} mm below the rim."})
        Vat.objects.filter(pk=vat.pk).update(level_mm=level)
    write_reading(
        vat,
        check.part,
        by=check.person,
        celsius=celsius,
        level_mm=level,
        note=_verdict(vat, check.part, celsius),
        tap=uuid5(check.tap, str(vat.pk)),
    )


def _verdict(vat: Vat, part: str, celsius: Decimal | None) -> str:
    # In the evening a vat cools and sets, as it should: only heat is worth a word.
    if celsius is None or (part == EVENING and celsius < HOT_C):
        return ""
    return with_verdict(vat, celsius, "")
