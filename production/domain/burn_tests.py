"""Test burns: begun with three samples weighed, burnt in cycles, a cycle typed wrongly taken back."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.models import Candle, Lot
from inventory.words import day, measure
from production.models import BurnCycle, BurnSample, BurnTest
from production.models.burn import SAMPLES

CYCLE_FIELDS = ("rest_min", "minutes", "mass_g", "flame_mm", "glow_s", "relit", "soot_index", "note", "burnt_on")


@transaction.atomic
def begin_test(
    *, candle: Candle, masses: Sequence[Decimal], begun_on: date, submission: UUID, by, lot: Lot | None = None, note=""
) -> BurnTest:
    """Three samples of the candle, weighed (g, one candle each) before they are lit.

    ValidationError for another number of samples, a day yet to come or a lot of another candle. Sent twice it is one.
    """
    Candle.objects.select_for_update(of=("self",)).get(pk=candle.pk)
    if again := BurnTest.objects.filter(submission=submission).first():
        return again
    if len(masses) != SAMPLES:
        raise ValidationError(f"{SAMPLES} samples are burnt, not {len(masses)}.")
    if lot and lot.candle_id != candle.pk:
        raise ValidationError({"lot": f"{lot.code} is not of {candle}."})
    _refuse_coming(begun_on, "begun_on")
    test = BurnTest(
        candle=candle, lot=lot, wick=candle.wick, wax=candle.wax.name, begun_on=begun_on, note=note, person=by,
        submission=submission,
    )  # fmt: skip
    test.full_clean()
    test.save()
    for number, mass in enumerate(masses, start=1):
        sample = BurnSample(test=test, number=number, mass_g=mass)
        sample.full_clean()
        sample.save()
    weights = ", ".join(measure(mass) for mass in masses)
    _record(test, f"Begun with samples of {weights} g", by)
    return test


@transaction.atomic
def add_cycle(*, test: BurnTest, sample: int, values: dict, submission: UUID, by) -> BurnCycle:
    """One more burn of a sample (1 to 3); `values` by the names in CYCLE_FIELDS.

    ValidationError by field where the sample did not grow lighter, or the day is before the last burn's or yet to
    come. Sent twice it is one.
    """
    test = BurnTest.objects.select_for_update(of=("self",)).get(pk=test.pk)
    if again := BurnCycle.objects.filter(submission=submission).first():
        return again
    burnt = BurnSample.objects.filter(test=test, number=sample).first()
    if burnt is None:
        raise ValidationError({"sample": "This test has no such sample."})
    last = burnt.cycles.order_by("-number").first()
    cycle = BurnCycle(
        sample=burnt,
        number=last.number + 1 if last else 1,
        person=by,
        submission=submission,
        **{name: values[name] for name in CYCLE_FIELDS},
    )
    before = last.mass_g if last else burnt.mass_g
    if cycle.mass_g >= before:
        said = f"It weighed {measure(before)} g before this burn: it cannot weigh {measure(cycle.mass_g)} g after it."
        raise ValidationError({"mass_g": said})
    _refuse_coming(cycle.burnt_on, "burnt_on")
    if cycle.burnt_on < (last.burnt_on if last else test.begun_on):
        since = last.burnt_on if last else test.begun_on
        raise ValidationError({"burnt_on": f"Not before {day(since)}, when what came before it was burnt or weighed."})
    cycle.full_clean()
    cycle.save()
    _record(test, f"Cycle {cycle.number} of sample {sample}: {cycle.minutes} min to {measure(cycle.mass_g)} g", by)
    return cycle


@transaction.atomic
def take_back_cycle(*, test: BurnTest, cycle: int, by) -> None:
    """Take back the last cycle of a sample, by its key; gone already is no error. ValidationError for an earlier."""
    test = BurnTest.objects.select_for_update(of=("self",)).get(pk=test.pk)
    row = BurnCycle.objects.filter(pk=cycle, sample__test=test).select_related("sample").first()
    if row is None:
        return
    if row.sample.cycles.filter(number__gt=row.number).exists():
        raise ValidationError(f"Sample {row.sample.number} has burnt since: take its last cycle back first.")
    what = f"Cycle {row.number} of sample {row.sample.number} taken back: {row.minutes} min to {measure(row.mass_g)} g"
    row.delete()
    _record(test, what, by)


def _refuse_coming(when: date, field: str) -> None:
    if when > timezone.localdate():
        raise ValidationError({field: "That day is yet to come."})


def _record(test: BurnTest, what: str, by) -> None:
    record(subject="test burn", subject_id=test.pk, what=what, by=by)
