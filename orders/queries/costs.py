"""What a pair costs with its box and label, and what is left of what was sold."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from decimal import Decimal

from django.db.models import Case, F, Sum, Value, When
from django.urls import reverse

from inventory.models import SECONDS, Candle
from orders.margins import PENNY, Margin, add_up
from orders.models import BoxKind, CreditNoteLine, InvoiceLine
from orders.models.credit import MISTAKE, RETURNED
from orders.periods import Period
from production.costing import Cost
from production.queries.costs import Boxed, costs_of, unit_prices

BY_CANDLE, BY_SHOP, BY_ORDER = "candle", "shop", "order"
# What a row is of: the columns of an order line that name it, and the row's name and address from them.
GROUPS: dict[str, tuple[tuple[str, ...], Callable[..., tuple[str, str]]]] = {
    BY_CANDLE: (
        ("candle__code", "candle__name", "order__grade"),
        lambda key, code, name, grade: (
            f"{code} {name}{' (seconds)' if grade == SECONDS else ''}",
            reverse("candle_cost", args=[key]),
        ),
    ),
    BY_SHOP: (
        ("order__shop", "order__shop__name", "order__shop__town"),
        lambda _, pk, name, town: (f"{name}, {town}", reverse("shop", args=[pk])),
    ),
    BY_ORDER: (
        ("order__number", "order__shop__name"),
        lambda _, number, name: (f"{number} {name}", reverse("order", args=[number])),
    ),
}


def pair_costs(candles: Iterable[Candle]) -> dict[int, Cost]:
    """By key of the candle: a pair's cost, packed in the standard box. Candles come with wax, colour and wick_of."""
    return costs_of(candles, _boxed())


def _boxed() -> Boxed:
    kind = BoxKind.objects.filter(standard=True).select_related("material", "label").first()
    if kind is None:
        return Boxed()
    parts = [part for part in (kind.material, kind.label) if part]
    prices = unit_prices([part.pk for part in parts])
    return Boxed(tuple((part.name, prices.get(part.pk)) for part in parts))


def margins(period: Period, by: str) -> list[Margin]:
    """What was invoiced in the period less what was credited in it, by candle and grade, shop or order, against what
    those pairs cost to make now. The most that is left first. A fixed number of queries.

    Goods after every discount, in GBP; carriage is not in it. Pairs that came back, or were invoiced by mistake, cost
    nothing; what was broken on its way cost what it cost.
    """
    columns, name = GROUPS[by]
    sold: dict[tuple, list] = defaultdict(lambda: [0, Decimal(0)])
    for key, pairs, net in _sold(period, columns):
        sold[key][0] += pairs
        sold[key][1] += net
    candles = Candle.objects.filter(pk__in={key[0] for key in sold}).select_related("wax", "colour", "wick_of")
    costs = pair_costs(candles)
    rows: dict[tuple, list[Margin]] = defaultdict(list)
    for key, (pairs, net) in sold.items():
        cost = costs[key[0]]
        words, url = name(*key)
        made = Margin(words, url, pairs, net, pairs * cost.total, not cost.lacking)
        rows[words, url].append(made)
    found = [add_up(parts, words, url) for (words, url), parts in rows.items()]
    return sorted(found, key=lambda row: (-row.left, row.name))


def _sold(period: Period, columns: tuple[str, ...]):
    """(key of the candle and the columns, pairs, GBP) of invoices and, below nought, of credit notes."""
    came_back = Case(When(note__why__in=(RETURNED, MISTAKE), then=F("pairs")), default=Value(0))
    sides = (
        (InvoiceLine, "invoice", "order_line", 1, F("pairs")),
        (CreditNoteLine, "note", "invoice_line__order_line", -1, came_back),
    )
    for model, paper, line, sign, pairs in sides:
        within = {f"{paper}__paper__issued_on__gte": period.first, f"{paper}__paper__issued_on__lte": period.last}
        names = (f"{line}__candle", *(f"{line}__{column}" for column in columns))
        rates = (f"{paper}__sterling", f"{line}__order__order_discount")
        rows = model.objects.filter(**within, **{f"{line}__isnull": False}).order_by().values_list(*names, *rates)
        for *key, sterling, off, count, net in rows.annotate(count=Sum(pairs), goods=Sum("net")):
            gone = 1 - Decimal(off) / 100
            # SQLite adds money as binary fractions. Rounded to pence only where it is shown, every cut adds up alike.
            exact = Decimal(net).quantize(PENNY) * gone * Decimal(sterling)
            yield tuple(key), sign * count, sign * exact
