"""The seconds list: a frozen paper for one shop with its own prices, and the letter that takes it along.

Locks: the shop's row, so that two who send at once send each shop one letter a day.
"""

from dataclasses import dataclass, field
from datetime import date, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from orders.documents.seconds_list import letter_body, seconds_list_content
from orders.domain.papers import issue_paper
from orders.domain.post import write_letter
from orders.models import Letter, Paper, Shop
from orders.models.paper import SECONDS_LIST
from orders.tasks import post_letter

FARTHEST = timedelta(days=60)  # a list further ahead would promise what nobody knows


@dataclass
class Sent:
    """What one sending did: lists on their way, shops that had today's already, and why others got none."""

    papers: list[Paper] = field(default_factory=list)
    had: list[Shop] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)


@transaction.atomic
def issue_list(*, shop: Shop, for_day: date, by) -> Paper:
    """The list for one shop and day. The same shelf at the same prices asked for again today is the same paper.

    ValidationError for a day past or too far ahead, and where nothing is there to sell.
    """
    check_list_day(for_day)
    shop = Shop.objects.select_for_update().get(pk=shop.pk)
    today = timezone.localdate()
    content = seconds_list_content(shop, for_day)
    if not content["boxes"] and not content["singles"]:
        raise ValidationError(f"Nothing stands on the seconds shelf that has a price in {shop.currency}.")
    for paper in Paper.objects.filter(kind=SECONDS_LIST, shop=shop, issued_on=today, cancellation=None):
        if paper.content == {**content, "number": paper.number}:
            return paper
    paper = issue_paper(kind=SECONDS_LIST, shop=shop, content=content, issued_on=today, by=by, series=SECONDS_LIST)
    record(subject="shop", subject_id=shop.pk, what=f"Seconds list {paper.number} for {content['for_day']}", by=by)
    return paper


def check_list_day(for_day: date) -> None:
    today = timezone.localdate()
    if not today <= for_day <= today + FARTHEST:
        raise ValidationError({"day": f"From today on, and at most {FARTHEST.days} days ahead."})


@transaction.atomic
def send_list(*, shop: Shop, for_day: date, by) -> Paper | None:
    """Issue the list and write the letter, which the worker sends; None where the shop had one today. ValidationError
    for a shop without an address or on stop.
    """
    Shop.objects.select_for_update().get(pk=shop.pk)
    key = key_of_today(shop)
    if Letter.objects.filter(key=key).exists():
        return None
    if why := why_not_sent_to(shop):
        raise ValidationError(f"{shop.name}: {why}.")
    to = addresses_for_seconds(shop)
    paper = issue_list(shop=shop, for_day=for_day, by=by)
    write_letter(
        key=key,
        kind=SECONDS_LIST,
        shop=shop,
        to=to,
        subject=f"Seconds for {paper.content['for_day']} from {paper.content['workshop']['name']}"[:160],
        body=letter_body(paper.content),
        papers=[paper],
        # Dozens of lists are more than a page should wait for.
        send=post_letter.enqueue,
        by=by,
    )
    return paper


def send_lists(*, for_day: date, by) -> Sent:
    """To every shop that wants the list, each once a day. Each is a transaction of its own: one shop without an
    address keeps nobody waiting. ValidationError for a day past or too far ahead.
    """
    check_list_day(for_day)
    sent = Sent()
    for shop in Shop.objects.filter(active=True, wants_seconds_list=True).order_by("name"):
        try:
            paper = send_list(shop=shop, for_day=for_day, by=by)
        except ValidationError as error:
            sent.refused += error.messages
        else:
            if paper:
                sent.papers.append(paper)
            else:
                sent.had.append(shop)
    return sent


def why_not_sent_to(shop: Shop) -> str:
    """Why a shop gets no letter with the list; empty where it does."""
    if shop.on_stop:
        return "on stop, nothing is offered"
    return "" if addresses_for_seconds(shop) else "no e-mail address: print the list, or ring"


def key_of_today(shop: Shop) -> str:
    """What makes a shop's letters of one day one letter."""
    return f"{SECONDS_LIST}/{shop.pk}/{timezone.localdate().isoformat()}"


def addresses_for_seconds(shop: Shop) -> str:
    """Contacts who buy, else everybody with an address; three at most, with commas between."""
    contacts = [one for one in shop.contacts.all() if one.email]
    buying = [one for one in contacts if any(word in one.does.lower() for word in ("buy", "order", "second"))]
    return ", ".join(one.email for one in (buying or contacts)[:3])
