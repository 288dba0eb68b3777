"""What the tests of the price lists send."""

from datetime import timedelta

from django.utils import timezone

TOMORROW = timezone.localdate() + timedelta(1)
NEW = {
    "name": "Trade list 2027", "since": f"{TOMORROW}", "group": "", "currency": "GBP", "source": "", "percent": "",
    "step": "0.01",
}  # fmt: skip


def prices_of(row):
    return dict(row.prices.values_list("candle__code", "price"))


def sent(row, prices, breaks=(), **fields):
    """The list's form: prices as (candle, typed), breaks as (candle or None, boxes, percent)."""
    row.refresh_from_db()
    data = {"version": row.version, "name": row.name, "note": row.note, "since": f"{row.since}"}
    data |= {f"price_{candle.pk}": typed for candle, typed in prices}
    for n, (candle, boxes, percent) in enumerate(breaks):
        data |= {
            f"break_{n}_candle": candle.pk if candle else "", f"break_{n}_boxes": boxes, f"break_{n}_percent": percent,
        }  # fmt: skip
    return {**data, **fields}
