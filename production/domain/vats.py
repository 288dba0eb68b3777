"""What is read and done at a vat: heat, level, top-up, thermostat, change-over. Heat in C, levels in mm below the rim.

Readings are append-only; the same `tap` sent again is the reading it made the first time. A level read or a top-up
sets what the vat is reckoned to hold; turns lower it from there (production.domain.levels).
"""

from decimal import Decimal
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.domain.versions import check_version
from inventory.words import measure
from production.domain.recipes import named
from production.heat import HOT_C, WaxLimits, read_limits_refused, refuse_heat
from production.models import DipRun, Frame, Stage, Vat, VatReading, WaxHeat
from production.models.frame import HANGING
from production.queries.wax import bath_of
from production.wax_use import level_drop_mm, top_up_kg

MOST_KG = Decimal(500)  # in one go: more than any vat of a small workshop takes
FAR_FROM_SET = 5  # K between what was read and the thermostat, from which on the log says so
HUNDREDTH = Decimal("0.01")


def lock_vat(pk: int) -> Vat:
    """The vat with its wax and colour, locked. Needs a transaction."""
    return Vat.objects.select_for_update(of=("self",)).select_related("wax", "colour").get(pk=pk)


def limits_of(wax) -> WaxLimits | None:
    """What the wax bears, None where nobody wrote it down."""
    row = WaxHeat.objects.filter(wax=wax).first()
    return row and WaxLimits(row.congeals_c, row.flash_c, row.discolours_c)


@transaction.atomic
def read_heat(*, vat: Vat, celsius: Decimal, by, note: str = "", tap: UUID | None = None) -> VatReading:
    """Write down a heat read off the vat, however far out it is. ValidationError where no vat can be so hot."""
    vat = lock_vat(vat.pk)
    if done := done_before(tap):
        return done
    refuse_no_heat(celsius)
    return write_reading(vat, "heat", by=by, celsius=celsius, note=with_verdict(vat, celsius, note), tap=tap)


@transaction.atomic
def read_level(*, vat: Vat, level_mm: Decimal, by, note: str = "", tap: UUID | None = None) -> VatReading:
    """Write down how far the wax stands below the rim; turns are reckoned from there."""
    vat = lock_vat(vat.pk)
    if done := done_before(tap):
        return done
    return _set_level(vat, "level", level_mm, by=by, note=note, tap=tap)


@transaction.atomic
def top_up(*, vat: Vat, kilograms: Decimal, by, note: str = "", tap: UUID | None = None) -> VatReading:
    """Molten wax goes in: the level rises by its mass over liquid density and surface.

    ValidationError where so much would run over: then the level was reckoned wrong, and wants reading first.
    """
    vat = lock_vat(vat.pk)
    if done := done_before(tap):
        return done
    if not 0 < kilograms <= MOST_KG:
        raise ValidationError({"kilograms": f"Between 0.1 and {MOST_KG} kg."})
    room = top_up_kg(bath_of(vat), to_mm=0)
    if float(kilograms) > room + 0.005:
        raise ValidationError(
            {"kilograms": f"It takes {room:.1f} kg to the rim, as reckoned. Read its level first if that is wrong."}
        )
    rise = Decimal(level_drop_mm(float(kilograms) * 1000, bath_of(vat))).quantize(HUNDREDTH)
    vat.level_mm = max(Decimal(0), vat.level_mm - rise)
    vat.save(update_fields=["level_mm"])
    return write_reading(vat, "top-up", by=by, kilograms=kilograms, level_mm=vat.level_mm, note=note, tap=tap)


@transaction.atomic
def set_thermostat(*, vat: Vat, celsius: Decimal, by) -> Vat:
    """Turn the thermostat, for a finish dip or back. ValidationError outside what the wax and the cut-out allow."""
    vat = lock_vat(vat.pk)
    if vat.set_c == celsius:
        return vat
    before, vat.set_c = vat.set_c, celsius
    check_vat(vat)
    vat.version += 1
    vat.save(update_fields=["set_c", "version"])
    what = f"Thermostat turned to {measure(celsius)} C, before {measure(before)} C"
    record(subject="vat", subject_id=vat.pk, what=what, by=by)
    return vat


@transaction.atomic
def change_over(*, vat: Vat, version: int, values: dict, by, tap: UUID | None = None) -> VatReading:
    """Empty the vat and fill it with another wax or colour. `values`: wax, colour, set_c, cut_out_c, level_mm, note.

    ValidationError while a run is on over it, while frames are in the middle of a stage that only this vat can finish,
    or where wax and thermostat do not fit. StaleVersion where the vat was changed meanwhile.
    """
    vat = lock_vat(vat.pk)
    if done := done_before(tap):
        return done
    check_version(vat, version)
    before = f"{vat.wax} in {vat.colour.name.lower()}"
    if (vat.wax_id, vat.colour_id) == (values["wax"].pk, values["colour"].pk):
        raise ValidationError({"colour": f"The vat holds {before} already."})
    refuse_in_use(vat)
    for name in ("wax", "colour", "set_c", "cut_out_c"):
        setattr(vat, name, values[name])
    check_vat(vat)
    refuse_wax(vat)
    vat.version += 1
    vat.save()
    now = f"{vat.wax} in {vat.colour.name.lower()}"
    record(subject="vat", subject_id=vat.pk, what=f"Changed over to {now}, before {before}", by=by)
    note = f"{now}, before {before}{'; ' + values['note'] if values['note'] else ''}"
    return _set_level(vat, "change-over", values["level_mm"], by=by, note=note, tap=tap)


def check_vat(vat: Vat) -> None:
    """ValidationError, by field, where the vat's own figures or its wax's limits forbid it (TRADE S-11, S-12)."""
    vat.clean_fields()
    limits = limits_of(vat.wax)
    if limits is None:
        raise ValidationError(
            {"wax": f"Write down first what {vat.wax} may be heated to: Set-up, Wax heat. Its data sheet says it."}
        )
    if why := refuse_heat(vat.set_c, vat.cut_out_c, limits):
        # A thermostat that is right by itself leaves the cut-out to be mended.
        right = limits.congeals_c < vat.set_c < vat.cut_out_c
        raise ValidationError({"cut_out_c" if right else "set_c": why})
    if vat.keep_mm >= vat.depth_mm:
        raise ValidationError({"keep_mm": f"Above the bottom: less than {vat.depth_mm} mm below the rim."})
    vat.full_clean()


def refuse_wax(vat: Vat) -> None:
    """ValidationError where it may not hold its (new) wax."""
    may = list(vat.may_hold.all())
    if may and vat.wax not in may:
        raise ValidationError({"wax": f"{vat} may hold {', '.join(map(str, may))} only: Set-up says so."})


def refuse_in_use(vat: Vat) -> None:
    """ValidationError while candles still need the wax and colour that is in the vat."""
    between = _in_the_middle(vat)
    if between:
        verb = "is" if len(between) == 1 else "are"
        raise ValidationError(
            f"{vat} stays {vat.colour.name.lower()}: {named(between)} {verb} in the middle of a stage in it. Finish "
            "the stage or take them off first."
        )
    run = DipRun.objects.select_related("carousel").filter(vat=vat, ended_at=None).first()
    if run:
        raise ValidationError(f"{run.carousel} is over {vat} in run {run}: end that run first.")


def _in_the_middle(vat: Vat) -> list[Frame]:
    """Frames that have begun a stage in this wax and colour, and hang over this vat or have no other to go to."""
    begun = Frame.objects.filter(state=HANGING, stage_dips__gt=0, done=False).order_by("pk")
    same = Stage.objects.filter(wax=vat.wax_id, colour=vat.colour_id)
    stages = set(same.values_list("recipe__candle", "place"))
    frames = [frame for frame in begun if (frame.candle_id, frame.stage) in stages]
    elsewhere = Vat.objects.filter(wax=vat.wax_id, colour=vat.colour_id, active=True).exclude(pk=vat.pk)
    if not elsewhere.exists():
        return frames
    here = set(DipRun.objects.filter(vat=vat, ended_at=None).values_list("carousel", flat=True))
    return [frame for frame in frames if frame.carousel_id in here]


def refuse_no_heat(celsius: Decimal, field: str = "celsius") -> None:
    if why := read_limits_refused(celsius):
        raise ValidationError({field: why})


def with_verdict(vat: Vat, celsius: Decimal, note: str) -> str:
    """The note of a heat with what is wrong about it in front, judged by the limits of that hour."""
    return "; ".join(filter(None, [_verdict(vat, celsius), note]))[:200]


def _verdict(vat: Vat, celsius: Decimal) -> str:
    limits = limits_of(vat.wax)
    if celsius >= vat.cut_out_c:
        return f"past the cut-out at {measure(vat.cut_out_c)} C"
    if celsius >= HOT_C:
        return "too hot"
    if limits and limits.discolours_c is not None and celsius > limits.discolours_c:
        return f"above {measure(limits.discolours_c)} C, where it discolours"
    if limits and celsius <= limits.congeals_c:
        return "set, or setting"
    off = celsius - vat.set_c
    if abs(off) < FAR_FROM_SET:
        return ""
    return f"{measure(abs(off))} K {'above' if off > 0 else 'below'} the thermostat"


def _set_level(vat: Vat, kind: str, level_mm: Decimal, *, by, note: str, tap: UUID | None) -> VatReading:
    if not 0 <= level_mm <= vat.depth_mm:
        raise ValidationError(
            {"level_mm": f"Between 0 (at the rim) and {vat.depth_mm} mm (empty): how far the wax is below the rim."}
        )
    # No form's version moves: a level is no figure anybody edits.
    Vat.objects.filter(pk=vat.pk).update(level_mm=level_mm)
    vat.level_mm = level_mm
    return write_reading(vat, kind, by=by, level_mm=level_mm, note=note, tap=tap)


def done_before(tap: UUID | None) -> VatReading | None:
    """The reading this tap made already. Read under the vat's lock."""
    return tap and VatReading.objects.select_related("vat").filter(tap=tap).first()


def write_reading(vat: Vat, kind: str, *, by, note: str = "", **figures) -> VatReading:
    reading = VatReading(vat=vat, kind=kind, person=by, at=timezone.now(), note=note[:200], **figures)
    reading.full_clean()
    reading.save(force_insert=True)
    return reading
