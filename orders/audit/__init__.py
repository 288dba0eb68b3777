"""Re-derives what must always be true of promises, deliveries, papers and invoices: one line a breach."""

from collections.abc import Iterator

from orders.audit import (
    box_uses,
    cover,
    credit_notes,
    deliveries,
    invoices,
    kept_files,
    papers,
    payments,
    promised,
    promises,
    seconds_boxes,
)

PARTS = (
    box_uses,
    promises,
    cover,
    deliveries,
    papers,
    invoices,
    credit_notes,
    payments,
    promised,
    seconds_boxes,
    kept_files,
)


def breaches() -> Iterator[str]:
    """Every breach found, as a sentence that names the row. Nothing is mended, nothing is written."""
    for part in PARTS:
        yield from part.breaches()
