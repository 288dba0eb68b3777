"""Vats and carousels that a trial takes as if they were there. Nothing of them is saved."""

from collections.abc import Iterable, Sequence
from copy import copy

from production.models import Carousel, Vat

NOT_IN_THE_BOOK = 2**40  # keys from here on: no row gets so far
USUAL_POSITIONS = 6


def vats_more(vats: Sequence[Vat], like: Iterable[int]) -> list[Vat]:
    """A vat more for each key in `like`, the image of that vat down to the wax it holds, under a name of its own."""
    known, found = {vat.pk: vat for vat in vats}, []
    for place, key in enumerate(like, start=1):
        if vat := known.get(key):
            # The copy goes on sharing what was read for the vat: the waxes it may hold.
            other = copy(vat)
            other.pk, other.name = NOT_IN_THE_BOOK + place, f"{vat.name}, one more"
            found.append(other)
    return found


def carousels_more(carousels: Sequence[Carousel], many: int) -> list[Carousel]:
    """So many carousels more, with as many positions as the largest there is."""
    positions = max((each.positions for each in carousels), default=USUAL_POSITIONS)
    return [
        Carousel(pk=NOT_IN_THE_BOOK + place, name=f"a carousel more ({place})", positions=positions)
        for place in range(1, many + 1)
    ]
