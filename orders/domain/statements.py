"""Statements and reminders: frozen papers over a shop's ledger, with a letter along where that is wished."""

from datetime import date, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.models import Workshop
from inventory.words import day
from orders.documents.ledger_parts import buyer_of, house_of
from orders.documents.statement import reminder_content, statement_content
from orders.domain.papers import digest_of, issue_paper
from orders.domain.payments import lock_ledger
from orders.domain.post import write_letter
from orders.models import Contact, Paper, Shop
from orders.models.paper import REMINDER, STATEMENT
from orders.queries.debts import ShopDebt, debts
from orders.queries.ledger import ledger_of
from orders.queries.shops import invoice_address_of

MONTHS_BACK = timedelta(days=92)


def parties_of(shop: Shop) -> dict:
    """Workshop and shop as ledger papers name them. ValidationError where either cannot be named yet."""
    workshop, address = Workshop.objects.first(), invoice_address_of(shop)
    if workshop is None:
        raise ValidationError("Set-up has no workshop yet: a paper needs its name, address and bank.")
    if address is None:
        raise ValidationError(f"{shop.name} has no address yet: a paper has to show one.")
    return {"workshop": house_of(workshop), "shop": buyer_of(shop, address)}


def debt_of(shop: Shop, currency: str, today: date) -> ShopDebt | None:
    return next((one for one in debts(today, [shop.pk]) if one.currency == currency), None)


def draft_statement(*, shop: Shop, currency: str, today: date, since: date | None = None) -> dict:
    """The statement as it would be issued today. Nothing is written."""
    return statement_content(
        debt_of(shop, currency, today),
        ledger_of(shop, currency),
        parties=parties_of(shop),
        currency=currency,
        since=since or today - MONTHS_BACK,
        issued_on=today,
    )


def draft_reminder(*, shop: Shop, currency: str, today: date) -> dict:
    """The reminder as it would be issued today. ValidationError where nothing is late, or they were reminded today."""
    debt = debt_of(shop, currency, today)
    if debt is None or debt.aged.late - debt.aged.on_account <= 0:
        raise ValidationError(f"Nothing of {shop.name}'s account is late: there is nothing to remind them of.")
    if debt.reminded == today:
        raise ValidationError(f"{shop.name} was reminded today already.")
    return reminder_content(debt, parties=parties_of(shop), issued_on=today)


def seen_of(content: dict) -> str:
    """A short digest of a draft: what was looked at is what is issued."""
    return digest_of(content)[:16]


@transaction.atomic
def issue_statement(*, shop: Shop, currency: str, seen: str, to: str = "", by) -> Paper:
    """Issue the statement of today; with addresses in `to` a letter takes it along. `seen` as the page showed it."""
    shop, today = lock_ledger(shop), timezone.localdate()
    content = draft_statement(shop=shop, currency=currency, today=today)
    return _issue(STATEMENT, shop, content, seen=seen, to=to, by=by)


@transaction.atomic
def issue_reminder(*, shop: Shop, currency: str, seen: str, to: str = "", by) -> Paper:
    """Issue the reminder of today, once a day; a letter takes it along. Refusals as draft_reminder's."""
    shop, today = lock_ledger(shop), timezone.localdate()
    content = draft_reminder(shop=shop, currency=currency, today=today)
    return _issue(REMINDER, shop, content, seen=seen, to=to, by=by)


def _issue(kind: str, shop: Shop, content: dict, *, seen: str, to: str, by) -> Paper:
    if seen != seen_of(content):
        raise ValidationError("The ledger changed while you looked at it. Look again, then send.")
    today = timezone.localdate()
    paper = _same(kind, shop, content, today)
    if paper is None:
        paper = issue_paper(kind=kind, shop=shop, content=content, issued_on=today, by=by, series=kind)
        record(subject="shop", subject_id=shop.pk, what=f"{content['title']} {paper.number} issued", by=by)
    if to.strip():
        write_letter(
            key=f"{kind}/{paper.number}", kind=kind, shop=shop, to=to,
            subject=f"{content['title']} of {day(today)} from {content['workshop']['name']}"[:160],
            body=_body(content), papers=[paper], by=by,
        )  # fmt: skip
    return paper


def _same(kind: str, shop: Shop, content: dict, today: date) -> Paper | None:
    """Today's paper that says exactly this: asked for twice, it is issued once."""
    rows = Paper.objects.filter(kind=kind, shop=shop, issued_on=today, cancellation=None).order_by("-pk")
    return next((row for row in rows if row.content == {**content, "number": row.number}), None)


def _body(content: dict) -> str:
    house = content["workshop"]
    said = content.get("words") or ["Good day,", f"{content['answer']} The statement is attached."]
    ends = [content.get("close", ""), "\n".join(filter(None, ("Kind regards", house["name"], house["telephone"])))]
    return "\n\n".join(filter(None, [*said, *ends])) + "\n"


def addresses_of(shop: Shop) -> str:
    """Where money letters go: contacts who look after the accounts, else everybody with an address."""
    contacts = [one for one in Contact.objects.filter(shop=shop) if one.email]
    money = [
        one for one in contacts if any(word in one.does.lower() for word in ("account", "bill", "pay", "invoice"))
    ]
    return ", ".join(one.email for one in (money or contacts)[:3])
