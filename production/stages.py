"""What a recipe usually says, and what looks wrong about one. No Django here: mm, degrees C, seconds, minutes.

The figures are common practice of the trade as facts/TRADE gives them (W30-W34, D1-D8, Z7); the data sheet of the wax
and the workshop's own history go before them.
"""

from dataclasses import dataclass
from decimal import Decimal

from inventory.words import measure
from production.coat import growth_mm, melted_back_mm

ABOVE_CONGEALING = (Decimal(5), Decimal(15))  # build dips, K above where the wax sets (W34, spans W30 to W33)
FINISH_ABOVE = (Decimal(20), Decimal(30))  # one finish dip may be hotter (W34, D8)
USUAL_BUILD, USUAL_FINISH = Decimal(10), Decimal(22)  # paraffin that sets at 60: 70 and 82 C (W30, D8)
HOTTEST_STAGE = Decimal(89)  # no thermostat of a vat is set higher (S-11)
UNKNOWN_WAX = Decimal(70)
GROWTH = (Decimal("0.3"), Decimal("1.2"))  # mm on the diameter a dip (D1)
LONGEST_BUILD_DIP, LONGEST_FINISH_DIP = 10, 5  # seconds; longer melts wax back off (D3, P7)
HALF_WINDOW = Decimal("0.5")  # holes of holders are 22.2 mm wide; a gauge of 21.5 to 22.5 fits (Z7)


@dataclass(frozen=True)
class Heat:
    """What a wax may be heated to, degrees C; None where nobody wrote it down."""

    congeals: Decimal | None = None
    discolours: Decimal | None = None


@dataclass(frozen=True)
class Dipped:
    """One stage, as far as a doubt about it goes."""

    celsius: Decimal
    growth_mm: Decimal
    seconds_in: int
    finish: bool
    heat: Heat
    wax: str


def usual_celsius(heat: Heat, *, finish: bool = False) -> Decimal:
    """Where the vat of a stage usually stands: a little above congealing, hotter for the finish, never discolouring.

    70 C for a wax of which nothing is known.
    """
    if heat.congeals is None:
        return UNKNOWN_WAX
    usual = heat.congeals + (USUAL_FINISH if finish else USUAL_BUILD)
    return min(usual, heat.discolours or usual, HOTTEST_STAGE - 4)


def usual_gauge(base_mm: Decimal) -> tuple[Decimal, Decimal]:
    """Gauge window (mm) round a base diameter: half a mm to either side, 2 % where that is more."""
    half = max(HALF_WINDOW, (base_mm / 50).quantize(Decimal("0.1")))
    return base_mm - half, base_mm + half


def doubts_of(stage: Dipped) -> list[str]:
    """What is unusual about a stage, in sentences; empty where nothing is. A doubt is no refusal."""
    return [doubt for doubt in (_heat_doubt(stage), _growth_doubt(stage), _seconds_doubt(stage)) if doubt]


def _heat_doubt(stage: Dipped) -> str:
    heat = stage.heat
    if heat.congeals is None:
        return f"Nobody wrote down what {stage.wax} may be heated to: see its data sheet."
    if heat.discolours is not None and stage.celsius > heat.discolours:
        return f"{stage.wax} discolours above {measure(heat.discolours)} C."
    low, high = ABOVE_CONGEALING[0], FINISH_ABOVE[1] if stage.finish else ABOVE_CONGEALING[1]
    above = stage.celsius - heat.congeals
    if low <= above <= high:
        return ""
    said = "colder makes lumps" if above < low else "hotter melts wax off again"
    usual = f"{measure(heat.congeals + low)} to {measure(heat.congeals + high)} C"
    return f"{usual} is usual for {'the finish in ' if stage.finish else ''}{stage.wax}; {said}."


def _growth_doubt(stage: Dipped) -> str:
    low, high = GROWTH
    if stage.finish or low <= stage.growth_mm <= high:
        return ""
    reckoned = (
        f"heat and flow reckon about {growth_mm(stage.seconds_in):.1f} mm for {stage.seconds_in} seconds in the wax"
    )
    return f"A dip usually adds {low} to {high} mm, not {measure(stage.growth_mm)}; {reckoned}."


def _seconds_doubt(stage: Dipped) -> str:
    longest = LONGEST_FINISH_DIP if stage.finish else LONGEST_BUILD_DIP
    if stage.seconds_in <= longest:
        return ""
    said = f"More than {longest} seconds in the wax melts it back"
    if stage.heat.congeals is None or stage.celsius <= stage.heat.congeals:
        return f"{said}."
    melts = melted_back_mm(stage.seconds_in, float(stage.celsius - stage.heat.congeals))
    return f"{said}: a warm candle loses about {melts:.1f} mm in {stage.seconds_in} seconds."
