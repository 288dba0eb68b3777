"""The floor's own figures, with what stands where the owner has not set them yet."""

from production.models import FloorFigures


def floor_figures() -> FloorFigures:
    """The one row; unsaved and at its defaults on a floor where nobody has set it. One query."""
    return FloorFigures.objects.filter(pk=1).first() or FloorFigures(pk=1)


def confidence() -> float:
    """How sure the firsts of a frame must be, above 0.5 and below 1. One query."""
    return float(floor_figures().confidence)
