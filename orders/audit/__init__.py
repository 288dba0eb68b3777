"""Re-derives what must always be true of promises, deliveries, papers and invoices: one line a breach."""

from collections.abc import Iterator

from orders.audit import cover, credit_notes, deliveries, invoices, papers, payments, promised, promises

PARTS = (promises, cover, deliveries, papers, invoices, credit_notes, payments, promised)


def breaches() -> Iterator[str]:
    """Every breach found, as a sentence that names the row. Nothing is mended, nothing is written."""
    for part in PARTS:
        yield from part.breaches()
