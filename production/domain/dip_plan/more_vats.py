"""Vats and carousels that a trial takes as if they were there: with keys no row has, and nothing of them is saved."""

from collections.abc import Iterable, Sequence
from copy import copy

from production.models import Carousel, Vat

USUAL_POSITIONS = 6
NO_ROW = 2**40  # keys from here on: those of the book, which are lower, are used up first


def vats_more(vats: Sequence[Vat], like: Iterable[int]) -> list[Vat]:
    """A vat more for each key in `like`, the image of that vat down to the wax it holds, under a name of its own."""
    known, found = {vat.pk: vat for vat in vats}, []
    for place, key in enumerate(like, start=1):
        if vat := known.get(key):
            # The copy goes on sharing what was read for the vat: the waxes it may hold.
            other = copy(vat)
            other.pk, other.name = -place, f"{vat.name}, one more"
            found.append(other)
    return found


def carousels_more(carousels: Sequence[Carousel], many: int) -> list[Carousel]:
    """So many carousels more, with as many positions as the largest there is."""
    positions = max((each.positions for each in carousels), default=USUAL_POSITIONS)
    return [
        Carousel(pk=NO_ROW + place, name=f"a carousel more ({place})", positions=positions)
        for place in range(1, many + 1)
    ]
