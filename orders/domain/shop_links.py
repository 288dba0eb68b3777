"""Links by which a shop sees one order of its own.

The token is a signature (HMAC-SHA256 with the book's secret key) over a random nonce: 256 bits nobody can guess, which
the book itself can make again but does not keep. What is kept is the token's SHA-256, by which it is found.
"""

import base64
import secrets
from datetime import datetime, timedelta
from hashlib import sha256

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import salted_hmac

from inventory.domain.records import record
from orders.domain.ordering import lock_order
from orders.models import Order, ShopLink
from orders.models.order import DRAFT

LASTS = timedelta(days=90)
# A link sent again should not end next week.
USED_AGAIN_WITH = timedelta(days=30)
SALT = "orders.shop_link"


class LinkEnded(Exception):
    """The link was good once: it ended by itself or was withdrawn."""


def token_of(link: ShopLink) -> str:
    """43 letters, digits, - and _. It opens the page only while the secret key is the one it was made with."""
    digest = salted_hmac(SALT, link.nonce, algorithm="sha256").digest()
    return base64.urlsafe_b64encode(digest).decode().rstrip("=")


def address_of(link: ShopLink) -> str:
    """The link as a shop gets it; "" where the book has no address that shops can reach (WICKTURN_PUBLIC_ADDRESS)."""
    return settings.PUBLIC_ADDRESS + reverse("own_view", args=[token_of(link)]) if settings.PUBLIC_ADDRESS else ""


@transaction.atomic
def link_for(*, order: Order, by, now: datetime | None = None) -> ShopLink:
    """The order's standing link, or a new one of 90 days. ValidationError for a draft: there is nothing to see yet."""
    order, now = lock_order(order), now or timezone.now()
    if order.status == DRAFT:
        raise ValidationError(f"Order {order.number} is a draft: confirm it first.")
    last = order.shop_links.filter(withdrawn_at=None, ends_at__gt=now + USED_AGAIN_WITH).first()
    # Made under another secret key it would open nothing.
    if last and _hashed(token_of(last)) == last.token_sha256:
        return last
    link = ShopLink(order=order, nonce=secrets.token_hex(16), made_at=now, made_by=by, ends_at=now + LASTS)
    link.token_sha256 = _hashed(token_of(link))
    link.save(force_insert=True)
    record(subject="order", subject_id=order.pk, what="A link made by which the shop sees this order.", by=by)
    return link


@transaction.atomic
def withdraw_links(*, order: Order, by) -> int:
    """End every standing link of the order at once; how many there were."""
    order, now = lock_order(order), timezone.now()
    count = order.shop_links.filter(withdrawn_at=None, ends_at__gt=now).update(withdrawn_at=now, withdrawn_by=by)
    if count:
        record(subject="order", subject_id=order.pk, what="The shop's link to this order was withdrawn.", by=by)
    return count


def read_link(token: str, now: datetime | None = None) -> ShopLink | None:
    """The standing link with that token; None for one that never was. LinkEnded for one that is over."""
    link = (
        ShopLink.objects.filter(token_sha256=_hashed(token)).select_related("order__shop", "order__deliver_to").first()
    )
    if link and (link.withdrawn_at or link.ends_at <= (now or timezone.now())):
        raise LinkEnded
    return link


def _hashed(token: str) -> str:
    return sha256(token.encode()).hexdigest()
