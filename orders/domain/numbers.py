"""Running numbers without a gap: the series' row is locked until the transaction that uses the number ends."""

from orders.models import Series


def take_number(series: str) -> tuple[int, str]:
    """The next number of a series, bare and with its prefix: (1042, "DN-1042"). Needs a transaction.

    A transaction that fails gives its number back, so a run has no gap.
    """
    row = Series.objects.select_for_update().get(name=series)
    number = row.next
    row.next += 1
    row.save(update_fields=["next"])
    return number, f"{row.prefix}{number}"
