"""What to buy, in sentences. No Django here: what is known of each material in, words out."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from inventory.material_words import amount_in_words
from inventory.words import counted
from orders.standing import short_day
from production.needs import SOURCES, Held, Need, Outlook


@dataclass(frozen=True)
class Known:
    """A material by name and unit, what there is of it and how long that lasts."""

    name: str
    unit: str
    held: Held
    outlook: Outlook

    def due(self, today: date) -> bool:
        """To be ordered today at the latest. Who has no supplier is told so instead."""
        return bool(self.outlook.order) and self.outlook.order_by is not None and self.outlook.order_by <= today


def headline(rows: Sequence[Known], today: date) -> str:
    """ "Order Paraffin and Standard box today. Paraffin runs out on 4 Dec, 3 days before it can come." """
    if not rows:
        return "No material is bought here yet: set one up, with who sells it."
    if due := [row for row in rows if row.due(today)]:
        return _order_today(due) + _first_late(due, today)
    return _nothing_today(rows, today) + _under_way_too_late(rows, today)


def _nothing_today(rows: Sequence[Known], today: date) -> str:
    later = [row for row in rows if row.outlook.order and row.outlook.order_by]
    orphans = [row for row in rows if row.outlook.order and row.held.lead_days is None]
    if later:
        first = min(row.outlook.order_by for row in later)
        named = _named([row for row in later if row.outlook.order_by == first])
        return f"Nothing has to be ordered before {short_day(first, today)}; then {named}."
    if orphans:
        return f"{_named(orphans)} will not last, and nobody is named who sells {_them(orphans)}."
    if any(row.outlook.runs_out for row in rows):
        return "Nothing has to be ordered for all that is known."
    return "There is enough of every material for all that is known."


def _under_way_too_late(rows: Sequence[Known], today: date) -> str:
    """What is ordered, but used up before it comes."""
    late = [row for row in rows if row.outlook.runs_out and not row.outlook.order]
    if not late:
        return ""
    first = min(late, key=lambda row: row.outlook.runs_out)
    return f" {first.name} {_runs_out(first.outlook.runs_out, today)}, before what is under way comes."


def _order_today(due: Sequence[Known]) -> str:
    if len(due) <= 2:
        return f"Order {_named(due)} today."
    return f"{len(due)} materials must be ordered today: {_named(due)}."


def _named(rows: Sequence[Known]) -> str:
    """ "Paraffin", "Paraffin and Wick", "Paraffin, Wick, Stearin and 2 more"."""
    names = [row.name for row in rows]
    if len(names) <= 3:
        return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))
    return f"{', '.join(names[:3])} and {len(names) - 3} more"


def _them(rows: Sequence[Known]) -> str:
    return "it" if len(rows) == 1 else "them"


def _first_late(due: Sequence[Known], today: date) -> str:
    late = [row for row in due if row.outlook.days_late()]
    if not late:
        return ""
    first = min(late, key=lambda row: row.outlook.runs_out)
    return (
        f" {first.name} {_runs_out(first.outlook.runs_out, today)}, "
        f"{counted(first.outlook.days_late(), 'day')} before it can come."
    )


def _runs_out(day: date, today: date) -> str:
    return "is used up today" if day <= today else f"runs out on {short_day(day, today)}"


def lasts(outlook: Outlook, today: date) -> str:
    """How long it lasts: "till 4 Dec", "used up today", "for all that is known", "nothing asks for it"."""
    if not outlook.needed:
        return "nothing asks for it"
    if outlook.runs_out is None:
        return "for all that is known"
    return "used up today" if outlook.runs_out <= today else f"till {short_day(outlook.runs_out, today)}"


def order_by(known: Known, today: date) -> str:
    """When to order, and what is wrong about it: "by 3 Dec", "today", "today: empty for 5 days till it comes"."""
    outlook = known.outlook
    if not outlook.order:
        return _enough(outlook, today)
    if outlook.order_by is None:
        return "nobody is named who sells it"
    if outlook.order_by > today:
        return f"by {short_day(outlook.order_by, today)}"
    if late := outlook.days_late():
        return f"today: the store is empty for {counted(late, 'day')} till it comes"
    return "today: some of what is always kept is used till it comes" if outlook.order_by < today else "today"


def _enough(outlook: Outlook, today: date) -> str:
    if outlook.runs_out is None:
        return "enough"
    # All is under way, but some of it comes after it is needed.
    return f"ordered, but needed before it comes: ask for it by {short_day(outlook.runs_out, today)}"


def asked_by(needs: Sequence[Need], unit: str) -> list[str]:
    """What asks for it: ["frames on the floor 40 kg", "the dip plan 120 kg"]."""
    sums = {source: sum(need.amount for need in needs if need.source == source) for source in SOURCES}
    return [f"{source} {amount_in_words(amount, unit)}" for source, amount in sums.items() if amount]


def today_line(rows: Sequence[Known], today: date) -> str:
    """What Today says; empty where nothing has to be ordered today."""
    due = [row for row in rows if row.due(today)]
    if not due:
        return ""
    named = [f"{row.name} ({amount_in_words(row.outlook.order, row.unit)})" for row in due[:4]]
    more = f" and {len(due) - 4} more" if len(due) > 4 else ""
    return f"Order today: {', '.join(named)}{more}"
