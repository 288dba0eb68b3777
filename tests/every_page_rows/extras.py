from inventory.models import SECONDS
from tests.factories import make_order


def rows(season) -> dict[str, dict]:
    draft = make_order(season.sent.shop, [(season.candle, 2)], by=season.by, status="draft", grade=SECONDS)
    return {"order_bags": {"number": draft.number}}
