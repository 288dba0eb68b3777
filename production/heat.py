"""Heat of a vat, against what its wax bears. No Django here: degrees C, kg, kJ.

Limits are common practice without a source (TRADE S-11, S-12); flash points are the lowest of conflicting sources
(W5, W14, W23). The wax's data sheet, local codes and licensed practice go before anything said here.
"""

from dataclasses import dataclass
from decimal import Decimal

Figure = float | Decimal

USUAL_SET_C = (65, 85)  # where a thermostat usually stands
HOT_C = 90  # warned of from here on
MOST_CUT_OUT_C = 110  # an independent cut-out acts here at the latest
MARGIN_K, LEAST_MARGIN_K = (
    80,
    50,
)  # from cut-out to the lowest flash point: wanted, and without which nothing is heated
BUILD_K = (5, 15)  # over the congealing point, while the candle is built up (TRADE W30 to W34)
FINISH_K = 30  # over it for the finish dip alone

NEVER_WATER = (
    "Never water on a wax fire: it turns to steam under the wax and throws it, burning. Heat off, lid on, leave, call "
    "the fire brigade."
)
NEVER_LEAVE = "Never leave a heated vat alone."
CLASS_B = "Keep a fire blanket and an extinguisher of class B (foam, powder or carbon dioxide) within reach."
BURNS = "Hot wax on skin: cool it with running water at once, and do not pull set wax off."
DEFERS = "The wax's data sheet, local codes and licensed practice go before what this book says."
ALWAYS = (NEVER_LEAVE, NEVER_WATER, CLASS_B, BURNS, DEFERS)


@dataclass(frozen=True)
class WaxLimits:
    """What a wax bears: congealing and lowest flash point, and where it discolours, if it does."""

    congeals_c: Figure
    flash_c: Figure
    discolours_c: Figure | None = None


def refuse_heat(set_c: Figure, cut_out_c: Figure, wax: WaxLimits) -> str:
    """Why a vat with this thermostat and cut-out may not hold this wax, as a sentence; empty where it may."""
    set_at, cut_out, congeals, flash = (float(f) for f in (set_c, cut_out_c, wax.congeals_c, wax.flash_c))
    if cut_out > MOST_CUT_OUT_C:
        return f"An independent cut-out acts at {MOST_CUT_OUT_C} C at the latest, not {cut_out:g} C."
    if set_at >= cut_out:
        return f"The thermostat at {set_at:g} C must stand below the cut-out at {cut_out:g} C."
    if flash - cut_out < LEAST_MARGIN_K:
        return (
            f"The lowest flash point is {flash:g} C, only {flash - cut_out:g} K above the cut-out at {cut_out:g} C: "
            f"set the cut-out to {flash - MARGIN_K:g} C or lower."
        )
    if set_at <= congeals:
        return f"At {set_at:g} C this wax is not molten: it congeals at {congeals:g} C."
    return ""


def set_cautions(set_c: Figure, cut_out_c: Figure, wax: WaxLimits) -> list[str]:
    """What to watch about a vat's thermostat and cut-out with this wax, in sentences; empty where nothing."""
    set_at, cut_out, flash = float(set_c), float(cut_out_c), float(wax.flash_c)
    said = []
    if set_at >= HOT_C:
        said.append(f"The thermostat stands at {set_at:g} C: {HOT_C} C and more is hotter than any dip needs.")
    elif not USUAL_SET_C[0] <= set_at <= USUAL_SET_C[1]:
        said.append(f"The thermostat stands at {set_at:g} C; {USUAL_SET_C[0]} to {USUAL_SET_C[1]} C is usual.")
    if flash - cut_out < MARGIN_K:
        said.append(
            f"From the cut-out at {cut_out:g} C to the lowest flash point at {flash:g} C are {flash - cut_out:g} K; "
            f"{MARGIN_K} K are wanted."
        )
    if wax.discolours_c is not None and set_at > float(wax.discolours_c):
        said.append(f"This wax discolours above {float(wax.discolours_c):g} C.")
    return said


def read_cautions(read_c: Figure, cut_out_c: Figure, wax: WaxLimits, *, finish: bool = False) -> list[str]:
    """What a heat read off a vat says, in sentences, the gravest first; empty where all is well.

    `finish` is true while the finish dip is on, which is hotter.
    """
    read, cut_out, congeals = float(read_c), float(cut_out_c), float(wax.congeals_c)
    if read >= cut_out:
        grave = (
            f"{read:g} C is past the cut-out at {cut_out:g} C: heat off at once, lid on, nobody dips. {NEVER_WATER}"
        )
        return [grave]
    said = []
    if read >= HOT_C:
        said.append(f"{read:g} C is too hot: turn the heat down, stay with the vat, and check the thermostat.")
    if wax.discolours_c is not None and read > float(wax.discolours_c):
        said.append(f"This wax discolours above {float(wax.discolours_c):g} C.")
    most = FINISH_K if finish else BUILD_K[1]
    if read <= congeals:
        said.append(f"At {read:g} C this wax sets (it congeals at {congeals:g} C): do not dip.")
    elif read < congeals + BUILD_K[0]:
        said.append(f"{read:g} C is only {read - congeals:g} K above congealing: coats come thick and lumpy.")
    elif congeals + most < read < HOT_C:
        said.append(
            f"{read:g} C is {read - congeals:g} K above congealing: coats come thin, and the candle melts back."
        )
    return said


def read_limits_refused(read_c: Figure) -> str:
    """Why a figure can't be a vat's heat, as a sentence for the field; empty where it can."""
    if not 0 < float(read_c) <= 250:
        return "A vat's heat lies between 0 and 250 C."
    return ""


@dataclass(frozen=True)
class HeatOfWax:
    """Heat a wax takes up: kJ/(kg K) solid and molten, kJ/kg to melt. Paraffin's worked example (TRADE P11)."""

    solid: float = 2.4
    melting: float = 200
    molten: float = 2.2


def top_up_heat_kj(
    kilograms: Figure, melts_c: Figure, to_c: Figure, from_c: Figure = 20, wax: HeatOfWax | None = None
) -> float:
    """Heat that melts a top-up and brings it to the vat's heat: m [c_s (T_m - T_0) + L + c_l (T - T_m)] (TRADE P11).

    ValueError for a negative mass, and unless from < melts <= to.
    """
    wax = wax or HeatOfWax()
    mass, melts, to, start = (float(f) for f in (kilograms, melts_c, to_c, from_c))
    if mass < 0 or not start < melts <= to:
        raise ValueError(f"no top-up: {mass} kg from {start} C, melting at {melts} C, to {to} C")
    return mass * (wax.solid * (melts - start) + wax.melting + wax.molten * (to - melts))
