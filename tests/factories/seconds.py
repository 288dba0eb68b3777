import uuid
from datetime import timedelta
from decimal import Decimal

from django.utils import timezone

from inventory.models import Lot
from orders.domain.seconds_boxes import make_up_box
from orders.models import BoxKind, SecondsAge, SecondsBox
from tests.factories.house import make_candle, make_lot, make_person, make_workshop
from tests.factories.trade import make_box_kind


def make_seconds_lot(candle=None, pairs: int = 12, *, days: int = 10, fault: str = "bent", **fields) -> Lot:
    """Seconds dipped so many days ago."""
    made_on = timezone.localdate() - timedelta(days=days)
    return make_lot(candle, pairs, grade="seconds", fault=fault, made_on=made_on, **fields)


def make_seconds_box(*contents: tuple[Lot, int], by=None, **fields) -> SecondsBox:
    """A box on the shelf, by count and at the rule's price unless told otherwise."""
    values = {
        "kind": BoxKind.objects.filter(standard=True).first() or make_box_kind(standard=True),
        "sold_by": "count",
        "weight_g": None,
        "price": None,
        "sure": True,
        "submission": uuid.uuid4(),
        **fields,
    }
    inside = contents or [(make_seconds_lot(), 12)]
    return make_up_box(contents={lot.pk: pairs for lot, pairs in inside}, by=by or make_person(), **values)


def make_age(days: int, percent) -> SecondsAge:
    return SecondsAge.objects.create(days=days, percent=Decimal(percent))


def make_three_lots() -> tuple[Lot, Lot, Lot]:
    """9 bent and 6 rippled tapers at a firsts' price of 2.25, 5 stubs at 0.90 that drip; seconds cost half."""
    make_workshop(seconds_share=Decimal("0.50"))
    make_box_kind(name="Standard box", standard=True)
    taper = make_candle(code="TAP250", trade_price=Decimal("2.25"))
    stub = make_candle(code="WEE10", trade_price=Decimal("0.90"), length_mm=Decimal(100))
    return (
        make_seconds_lot(taper, 9, code="S1", days=20),
        make_seconds_lot(taper, 6, code="S2", fault="ripples"),
        make_seconds_lot(stub, 5, code="S3", fault="drip tail"),
    )
