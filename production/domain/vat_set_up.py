"""Vats and what their waxes may be heated to: added, changed, taken away. Only the owner comes here."""

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import ProtectedError

from inventory.domain import set_up
from inventory.domain.records import record
from inventory.domain.set_up import in_use_by, said, tell, told_changes
from inventory.domain.versions import check_version
from production.domain.vats import check_vat, lock_vat
from production.heat import WaxLimits, refuse_heat
from production.models import DipRun, Vat, WaxHeat

# What is in the vat is no field of it: that changes by a change-over only.
FIELDS = ("name", "depth_mm", "length_mm", "width_mm", "keep_mm", "set_c", "cut_out_c", "active")
MAY_HOLD = "may_hold"  # waxes, in a table of their own; none: any


@transaction.atomic
def add_vat(*, values: dict, by) -> Vat:
    """A vat, reckoned full to its fullest level. `values` by FIELDS and MAY_HOLD, with wax and colour. ValidationError
    by field.
    """
    values, waxes = dict(values), list(values.get(MAY_HOLD, ()))
    values.pop(MAY_HOLD, None)
    vat = Vat(**values)
    vat.level_mm = vat.keep_mm
    check_vat(vat)
    _check_may_hold(vat, waxes)
    _save(vat)
    vat.may_hold.set(waxes)
    tell(f"Vat {vat} added", by)
    record(subject="vat", subject_id=vat.pk, what=f"Set up with {vat.wax} in {vat.colour.name.lower()}", by=by)
    return vat


@transaction.atomic
def change_vat(*, vat: Vat, version: int, values: dict, by) -> Vat:
    """Change a vat's figures (FIELDS) and the waxes it MAY_HOLD. StaleVersion where it was changed meanwhile;
    ValidationError by field.
    """
    vat = lock_vat(vat.pk)
    check_version(vat, version)
    before = said(vat, (*FIELDS, MAY_HOLD))
    for name in FIELDS:
        setattr(vat, name, values[name])
    check_vat(vat)
    waxes = list(values.get(MAY_HOLD, vat.may_hold.all()))
    _check_may_hold(vat, waxes)
    if not vat.active and (run := DipRun.objects.filter(vat=vat, ended_at=None).first()):
        raise ValidationError({"active": f"Run {run} is on over it: end that run first."})
    vat.may_hold.set(waxes)
    if what := told_changes(f"Vat {vat}", before, said(vat, (*FIELDS, MAY_HOLD))):
        vat.version += 1
        _save(vat)
        record(subject="vat", subject_id=vat.pk, what=what, by=by)
        tell(what, by)
    return vat


@transaction.atomic
def remove_vat(*, vat: Vat, by) -> None:
    """Take away a vat nothing was read off or dipped in. ValidationError says by what it is used."""
    vat = Vat.objects.select_for_update().filter(pk=vat.pk).first()
    if vat is None:
        return
    try:
        vat.delete()
    except ProtectedError as used:
        why = in_use_by(used.protected_objects)
        raise ValidationError(f"Vat {vat} can't be deleted: {why}. Put it out of use instead.") from None
    tell(f"Vat {vat} deleted", by)


@transaction.atomic
def change_wax_heat(*, row: WaxHeat, values: dict, seen: str, by) -> WaxHeat:
    """Change what a wax may be heated to. ValidationError where a vat that holds it would stand outside."""
    if values["wax"].pk != row.wax_id:
        raise ValidationError({"wax": f"These are the limits of {row.wax}; write down the other wax's beside them."})
    row = set_up.change_row(row=row, values=values, seen=seen, by=by)
    limits = WaxLimits(row.congeals_c, row.flash_c, row.discolours_c)
    # Locked, so that no thermostat is turned between this look and the commit.
    for vat in Vat.objects.select_for_update(of=("self",)).filter(wax=row.wax_id).order_by("pk"):
        if why := refuse_heat(vat.set_c, vat.cut_out_c, limits):
            field = "congeals_c" if vat.set_c <= row.congeals_c else "flash_c"
            raise ValidationError({field: f"{vat} holds it: {why}"})
    return row


@transaction.atomic
def remove_wax_heat(*, row: WaxHeat, by) -> None:
    """Forget what a wax may be heated to. ValidationError while a vat holds it."""
    vats = list(Vat.objects.select_for_update(of=("self",)).filter(wax=row.wax_id).order_by("pk"))
    if vats:
        named = ", ".join(str(vat) for vat in vats)
        raise ValidationError(f"The limits of {row.wax} stay: {named} {'holds' if len(vats) == 1 else 'hold'} it.")
    set_up.remove_row(row=row, by=by)


def _check_may_hold(vat: Vat, waxes: list) -> None:
    if waxes and vat.wax not in waxes:
        raise ValidationError({MAY_HOLD: f"It holds {vat.wax} now: allow that one too, or change it over first."})


def _save(vat: Vat) -> None:
    try:
        with transaction.atomic():
            vat.save()
    except IntegrityError:
        # Another owner took the name a moment ago: now it is seen, and named at its field.
        vat.full_clean()
        raise
