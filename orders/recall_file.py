"""A whole recall as rows of a file: a row a lot on a delivery, then what lies here. No Django here."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from orders.recall import TRACES, Contact, Gone, Kept

HERE = "in the stockroom"
HEADINGS = (
    "Shop", "Contact", "Telephone", "E-mail", "Delivery note", "Left on", "Boxes", "Order", "Their reference",
    "Candle", "Lot", "Grade", "Pairs sent", "Came back", "Why it is listed",
)  # fmt: skip


def file_rows(gone: Iterable[Gone], contacts: Mapping[int, Sequence[Contact]]) -> Iterator[tuple]:
    """What left, in the order of HEADINGS; days as 2026-11-29."""
    whom = {shop: _whom(people) for shop, people in contacts.items()}
    for row in gone:
        yield (
            row.shop, *whom.get(row.shop_id, ("", "", "")), row.note, row.left_on.isoformat(), ", ".join(row.boxes),
            row.order, row.reference, row.candle, row.lot, row.grade, row.pairs, row.back,
            f"may hold traces: {TRACES[row.why]}" if row.why else "holds it",
        )  # fmt: skip


def _whom(people: Sequence[Contact]) -> tuple[str, str, str]:
    names = "; ".join(person.name for person in people)
    telephones = "; ".join(person.telephone for person in people if person.telephone)
    return names, telephones, "; ".join(person.email for person in people if person.email)


def kept_row(kept: Kept, way: str = "") -> tuple:
    """What lies here, as a row of the same file; `way` where it may hold traces only."""
    why = f"may hold traces: {TRACES[way]}; " if way else ""
    why += f"here, {kept.shelf}" + (f"; {kept.promised}" if kept.promised else "")
    return (HERE, *[""] * 8, kept.candle, kept.lot, "", kept.pairs, "", why)
