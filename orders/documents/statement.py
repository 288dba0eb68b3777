"""The contents of statements and reminders: what is open, how old it is, what moved since when. Amounts as printed."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from inventory.words import counted, day
from orders.aged import AGES, Aged
from orders.documents.ledger_parts import money
from orders.money import NOUGHT, in_pounds, symbol_of
from orders.queries.debts import OpenPaper, ShopDebt
from orders.queries.ledger import Entry

# By how often they were asked before about what is late now.
WORDS = (
    "Perhaps it slipped past you: {late} of your account is past its day, the oldest since {oldest}. Please pay it in "
    "the next days, or tell us what keeps you.",
    "We wrote to you on {reminded}. {late} is still past its day, the oldest since {oldest}. Please pay within seven "
    "days, or telephone us today so that we find a way.",
    "This is our last reminder. {late} is past its day, the oldest since {oldest}, though we asked before, last on "
    "{reminded}. Please pay within seven days. After that we send nothing more until the account is settled.",
)
LAW = (
    "The law lets us add interest of 8 % over the base rate, and a fixed sum for each debt, to what is paid late. We "
    "have added nothing to these amounts."
)


def statement_content(
    debt: ShopDebt | None, entries: list[Entry], *, parties: dict, currency: str, since: date, issued_on: date
) -> dict:
    """`entries`: the shop's whole ledger; those before `since` are brought forward in one figure."""
    before = [one for one in entries if one.on < since]
    moved = [one for one in entries if one.on >= since]
    aged = debt.aged if debt else Aged()
    papers = debt.papers if debt else ()
    return {
        "title": "Statement",
        "issued_on": day(issued_on),
        "issued_iso": issued_on.isoformat(),
        "since": _short(since),
        **parties,
        "currency": currency,
        "symbol": symbol_of(currency).strip(),
        "answer": _answer(aged, currency),
        "forward": in_pounds(before[-1].balance if before else NOUGHT),
        "entries": [_entry(one) for one in moved],
        "open": open_rows(papers, issued_on),
        "ages": [{"name": name, "amount": in_pounds(getattr(aged, field))} for field, name in AGES],
        "on_account": in_pounds(aged.on_account) if aged.on_account else "",
        "balance": in_pounds(aged.owed),
        "notes": ["A statement is no VAT invoice. Please tell us soon if your books say otherwise."],
    }


def reminder_content(debt: ShopDebt, *, parties: dict, issued_on: date) -> dict:
    """Of what is late and nothing else; firmer by how often they were reminded of it."""
    aged = debt.aged
    words = WORDS[min(debt.reminders, len(WORDS) - 1)].format(
        late=money(aged.late, debt.currency),
        oldest=day(debt.oldest),
        reminded=day(debt.reminded) if debt.reminded else "",
    )
    return {
        "title": "Reminder" if debt.reminders == 0 else f"{_ordinal(debt.reminders + 1)} reminder",
        "issued_on": day(issued_on),
        "issued_iso": issued_on.isoformat(),
        **parties,
        "currency": debt.currency,
        "symbol": symbol_of(debt.currency).strip(),
        "words": ["Good day,", words],
        "open": open_rows((one for one in debt.papers if one.due_on < issued_on and one.asked_for), issued_on),
        "late": in_pounds(aged.late),
        "on_account": in_pounds(aged.on_account) if aged.on_account else "",
        "now": in_pounds(max(NOUGHT, aged.late - aged.on_account)),
        "close": LAW if debt.reminders else "If your payment is on its way, take this letter for settled with it.",
    }


def open_rows(papers: Iterable[OpenPaper], today: date) -> list[dict]:
    return [
        {
            "number": one.number,
            "issued_on": _short(one.issued_on),
            "due_on": _short(one.due_on),
            "stands": stands(one.due_on, today),
            "amount": in_pounds(one.amount),
            "open": in_pounds(one.open),
        }
        for one in papers
    ]


def stands(due_on: date, today: date) -> str:
    """How a debt stands on a day, in words."""
    late = (today - due_on).days
    if late > 0:
        return f"{counted(late, 'day')} late"
    return "due today" if late == 0 else f"due in {counted(-late, 'day')}"


def _answer(aged: Aged, currency: str) -> str:
    if aged.owed < 0:
        return f"Your account stands at {money(-aged.owed, currency)} in your favour."
    if not aged.owed:
        return "Your account is settled: nothing is open."
    # What lies on account goes against the oldest first.
    late = max(NOUGHT, aged.late - aged.on_account)
    said = "all" if late == aged.owed else money(late, currency) if late else "none"
    return f"Your account stands at {money(aged.owed, currency)}, {said} of it {'past its day' if late else 'late'}."


def _entry(one: Entry) -> dict:
    return {
        "on": _short(one.on),
        "what": one.what,
        "debit": _amount(one.debit),
        "credit": _amount(one.credit),
        "balance": in_pounds(one.balance),
    }


def _amount(amount: Decimal) -> str:
    return in_pounds(amount) if amount else ""


def _short(on: date) -> str:
    return f"{on.day} {on:%b %Y}"


def _ordinal(number: int) -> str:
    return {2: "Second", 3: "Third"}.get(number, "Last")
