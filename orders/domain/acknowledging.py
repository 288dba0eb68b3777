"""The order acknowledgement: a paper that states what was ordered and the day promised, and its letter."""

from hashlib import sha256

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.models import Workshop
from inventory.words import day
from orders.documents.acknowledgement import acknowledgement_content
from orders.domain.ordering import lock_order
from orders.domain.papers import issue_paper
from orders.domain.post import LINK, write_letter
from orders.domain.shop_links import link_for
from orders.models import Order, Paper
from orders.models.order import CONFIRMED
from orders.models.paper import ACKNOWLEDGEMENT
from orders.queries.promises import acknowledgements_of


@transaction.atomic
def acknowledge_order(*, order: Order, to: str, by) -> Paper:
    """Issue the paper for the order as it stands, and write the letter that carries it to the addresses `to`.

    Numbered after the order: OA-2001/1, then /2 once something changed. The same order acknowledged again is the same
    paper; with `to` it is sent, to the same addresses once. `to` empty: paper only. ValidationError where no day is
    promised yet, the order is not confirmed, or an address is wrong.
    """
    order = lock_order(order)
    if order.status != CONFIRMED:
        raise ValidationError(f"Order {order.number} is {order.status}: only a confirmed order is acknowledged.")
    promise = order.promised_dates.first()
    if promise is None:
        raise ValidationError(f"No day is promised for order {order.number} yet: promise one first.")
    earlier = list(acknowledgements_of(order))
    content = acknowledgement_content(order, promise, replaces=earlier[0].number if earlier else "")
    paper = earlier[0] if earlier and _is_same(earlier[0].content, content) else None
    if paper is None:
        number = f"OA-{order.number}/{len(earlier) + 1}"
        paper = issue_paper(
            kind=ACKNOWLEDGEMENT,
            shop=order.shop,
            content=content,
            issued_on=timezone.localdate(),
            by=by,
            number=number,
        )
        record(subject="order", subject_id=order.pk, what=f"Acknowledged: {number}, by {day(promise.day)}.", by=by)
    if to.strip():
        _write(order, paper, to, by)
    return paper


def _is_same(issued: dict, now: dict) -> bool:
    apart = ("number", "issued_on", "issued_iso", "replaces")
    return all(issued.get(name) == value for name, value in now.items() if name not in apart)


def _write(order: Order, paper: Paper, to: str, by) -> None:
    workshop = Workshop.objects.first()
    content = paper.content
    house = workshop.name if workshop else ""
    reference = f" (your reference {order.reference})" if order.reference else ""
    link = link_for(order=order, by=by) if settings.PUBLIC_ADDRESS else None
    stands = f"How your order stands you see, until {day(link.ends_at)}, at\n{LINK}\n\n" if link else ""
    body = (
        f"Dear {order.shop.name},\n\nthank you for your order of {content['placed_on']}{reference}. "
        f"Our acknowledgement {paper.number} is attached.\n\n{content['promise']}\n\n{stands}{house}\n"
    )
    addresses = ",".join(sorted(part.strip().lower() for part in to.replace(";", ",").split(",") if part.strip()))
    write_letter(
        # Short enough for any number of addresses: a letter's key holds 80 signs.
        key=f"{paper.number} {_short(addresses)}",
        kind="order acknowledgement",
        shop=order.shop,
        to=to,
        subject=f"Your order {order.reference or order.number}: acknowledgement {paper.number}",
        body=body,
        papers=[paper],
        link=link,
        by=by,
    )


def _short(text: str) -> str:
    return sha256(text.encode()).hexdigest()[:16]
