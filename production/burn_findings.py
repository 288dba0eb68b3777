"""What a test burn found, beside the limits of fire safety and soot. No Django: g, min, mm, s; soot index an hour.

The limits stand here as trade pages and testing houses report them (TRADE S-5, S-7 to S-9; S-7 and S-9 weakly). The
standards' own text was not read: it and a test laboratory decide, and nothing here says that a candle conforms.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.words import counted
from production.burning import measured_rate

CYCLE_MIN, REST_MIN, LIGHT_G = 240, 60, 25
GLOW_S, FLAME_MM, SOOT = Decimal(30), 75, Decimal(1)
SAMPLES = 3
# A sample is done when 10 mm are left. Its height is told from its mass, and its foot is its thickest part, so half as
# much again is let pass.
LAST_MM = Decimal(15)
CAUTION = (
    "These limits are as trade pages report them; the text of EN 15493 and EN 15426 and a test laboratory decide. "
    "Burn on a plate that cannot burn, away from everything that can, with a lid and an extinguisher for class B "
    "within reach, and never leave a burning sample."
)


@dataclass(frozen=True)
class Cycle:
    """A burn: minutes rested before and burnt, g after, tallest flame in mm, seconds of smoke and glow."""

    rest_min: int
    minutes: int
    mass_g: Decimal
    flame_mm: int
    glow_s: Decimal
    relit: bool
    soot_index: Decimal | None


@dataclass(frozen=True)
class Sample:
    """One candle of so many mm, weighed before it was lit."""

    number: int
    mass_g: Decimal
    length_mm: Decimal
    cycles: tuple[Cycle, ...]

    @property
    def minutes(self) -> int:
        return sum(cycle.minutes for cycle in self.cycles)

    @property
    def rate(self) -> Decimal | None:
        """g an hour over all its cycles; None before the first."""
        return measured_rate(self.mass_g, self.cycles[-1].mass_g, self.minutes) if self.cycles else None

    @property
    def burnt_down(self) -> bool:
        """Whether about the last 10 mm are left of it, by its mass."""
        return bool(self.cycles) and self.cycles[-1].mass_g / self.mass_g * self.length_mm <= LAST_MM

    @property
    def soot(self) -> Decimal | None:
        """Soot index an hour, over the minutes for which one was measured."""
        read = [cycle for cycle in self.cycles if cycle.soot_index is not None]
        if not read:
            return None
        return sum(cycle.soot_index * cycle.minutes for cycle in read) / sum(cycle.minutes for cycle in read)


@dataclass(frozen=True)
class Finding:
    """One point: its limit and what was found, in words; `within` None where nothing was measured yet."""

    point: str
    limit: str
    found: str
    within: bool | None


def findings(samples: Iterable[Sample]) -> list[Finding]:
    """Every point that is looked at, over all cycles burnt so far."""
    samples = list(samples)
    burnt = [cycle for sample in samples for cycle in sample.cycles]
    return [_glow(burnt), _relit(burnt), _flame(burnt), _soot(samples), _plan(samples)]


def rates(samples: Iterable[Sample]) -> list[Decimal]:
    """g an hour of each sample that has burnt."""
    return [sample.rate for sample in samples if sample.rate is not None]


def _glow(burnt: list[Cycle]) -> Finding:
    point, limit = "Smoke and glow after putting out", f"on average at most {GLOW_S} s"
    if not burnt:
        return Finding(point, limit, "not measured yet", None)
    mean = sum(cycle.glow_s for cycle in burnt) / len(burnt)
    return Finding(point, limit, f"{mean:.1f} s on average", mean <= GLOW_S)


def _relit(burnt: list[Cycle]) -> Finding:
    again = sum(cycle.relit for cycle in burnt)
    found = counted(again, "time") if again else "never"
    return Finding("Lit itself again", "never", found if burnt else "not seen yet", not again if burnt else None)


def _flame(burnt: list[Cycle]) -> Finding:
    tallest = max((cycle.flame_mm for cycle in burnt), default=None)
    found = "not measured yet" if tallest is None else f"{tallest} mm at the tallest"
    return Finding("Flame", f"at most {FLAME_MM} mm", found, None if tallest is None else tallest <= FLAME_MM)


def _soot(samples: list[Sample]) -> Finding:
    """The average over the samples counts, not the worst of them."""
    point, limit = "Soot index an hour", f"on average below {SOOT:.1f}"
    read = [sample.soot for sample in samples if sample.soot is not None]
    if not read:
        return Finding(point, limit, "not measured yet", None)
    mean = sum(read) / len(read)
    return Finding(point, limit, f"{mean:.2f} over {len(read)} of {SAMPLES} samples", mean < SOOT)


def _plan(samples: list[Sample]) -> Finding:
    """Whether it was burnt as planned: each cycle 240 min, the last of a sample may be shorter, 60 min between."""
    point = "Burnt as planned"
    limit = f"{SAMPLES} samples, cycles of {CYCLE_MIN} min down to the last 10 mm, {REST_MIN} min of rest"
    begun = [sample for sample in samples if sample.cycles]
    short = sum(cycle.minutes != CYCLE_MIN for sample in begun for cycle in sample.cycles[:-1])
    long = sum(sample.cycles[-1].minutes > CYCLE_MIN for sample in begun)
    hasty = sum(cycle.rest_min < REST_MIN for sample in begun for cycle in sample.cycles[1:])
    done = sum(sample.burnt_down for sample in begun)
    said = [f"{len(begun)} of {SAMPLES} samples burnt, {done} of them down to the end"]
    said += [f"{counted(short + long, 'cycle')} of another length"] if short + long else []
    said += [f"{hasty} after too short a rest"] if hasty else []
    if any(sample.mass_g <= LIGHT_G for sample in samples):
        said.append(f"a candle up to {LIGHT_G} g has another plan, which the standard gives")
    as_planned = not (short or long or hasty)
    return Finding(point, limit, "; ".join(said), as_planned if done == SAMPLES or not as_planned else None)


def burn_sentence(candle: str, samples: Iterable[Sample]) -> str:
    """The page's first line."""
    samples = list(samples)
    found, known = rates(samples), [finding for finding in findings(samples) if finding.within is not None]
    if not found:
        return f"{candle}: three samples are weighed; none has burnt yet."
    mean = sum(found) / len(found)
    outside = [finding.point.lower() for finding in known if not finding.within]
    stands = f"outside the limits: {', '.join(outside)}" if outside else "all that was measured lies within the limits"
    return f"{candle} burns {mean:.2f} g an hour over {len(found)} of {SAMPLES} samples; {stands}."
