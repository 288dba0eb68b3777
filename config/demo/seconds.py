"""The demo's seconds shelf: steps of age, two boxes made up of what lies free, shops that want the list."""

import uuid
from collections.abc import Sequence
from decimal import Decimal

from orders.domain.seconds_boxes import make_up_box
from orders.models import BoxKind, SecondsAge, Shop
from orders.models.seconds_box import BY_COUNT, BY_WEIGHT
from orders.queries.seconds import free_lots_of_seconds

STEPS = ((30, 15), (60, 30))  # days, percent off
LOTS_IN_A_BOX = 4
DAMP = Decimal("1.012")  # the scales say a little more than size and wax: drips and the rest of the wick


def make_seconds(shops: Sequence[Shop], person) -> None:
    """A box by count at the rule's price and one by weight at its own; every fifth shop wants the list."""
    SecondsAge.objects.bulk_create(SecondsAge(days=days, percent=percent) for days, percent in STEPS)
    Shop.objects.filter(pk__in=[shop.pk for shop in shops[::5]]).update(wants_seconds_list=True)
    lots = [lot for lot in free_lots_of_seconds().order_by("made_on", "pk") if lot.free > 1]
    kind = BoxKind.objects.get(standard=True)
    for number, sold_by in enumerate((BY_COUNT, BY_WEIGHT)):
        chosen = lots[number * LOTS_IN_A_BOX : (number + 1) * LOTS_IN_A_BOX]
        if not chosen:
            return
        grams = sum(lot.candle.grams_a_pair * lot.free for lot in chosen)
        make_up_box(
            contents={lot.pk: lot.free for lot in chosen},
            kind=kind,
            sold_by=sold_by,
            weight_g=round(grams * DAMP) if sold_by == BY_WEIGHT else None,
            price=None,
            kilo=Decimal("5.50") if sold_by == BY_WEIGHT else None,
            sure=False,
            submission=uuid.uuid5(uuid.NAMESPACE_OID, f"wickturn demo box of seconds {number}"),
            by=person,
        )
