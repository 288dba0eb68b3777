"""What burning says of a candle: its tests as they are reckoned, and the rate to print."""

from collections.abc import Iterable
from decimal import Decimal

from django.db.models import Prefetch, QuerySet

from inventory.models import Candle
from production.burn_findings import Cycle, Sample, rates
from production.burning import BurnRate, burn_rate
from production.models import BurnCycle, BurnSample, BurnTest


def burn_tests() -> QuerySet[BurnTest]:
    """Tests with all that is reckoned from them: a fixed number of queries."""
    cycles = Prefetch("cycles", BurnCycle.objects.select_related("person").order_by("number"))
    samples = Prefetch("samples", BurnSample.objects.prefetch_related(cycles))
    return BurnTest.objects.select_related("candle__wax", "candle__colour", "lot", "person").prefetch_related(samples)


def as_samples(test: BurnTest) -> list[Sample]:
    """The test's samples as production.burn_findings takes them."""
    return [
        Sample(
            sample.number,
            sample.mass_g,
            test.candle.length_mm,
            tuple(
                Cycle(
                    cycle.rest_min,
                    cycle.minutes,
                    cycle.mass_g,
                    cycle.flame_mm,
                    cycle.glow_s,
                    cycle.relit,
                    cycle.soot_index,
                )
                for cycle in sample.cycles.all()
            ),
        )
        for sample in test.samples.all()
    ]


def measured_rates(candle: Candle) -> list[Decimal]:
    """g an hour of every sample burnt of this candle as it is made now: of its wax, on its wick."""
    tests: Iterable[BurnTest] = burn_tests().filter(candle=candle, wick=candle.wick, wax=candle.wax.name)
    return [rate for test in tests for rate in rates(as_samples(test))]


def burn_rate_of(candle: Candle) -> BurnRate:
    """As set for the candle, else measured, else the published figure; always with what it rests on."""
    return burn_rate(candle.burn_g_hour, () if candle.burn_g_hour else measured_rates(candle))
