"""The head of a form that came back, as the draft's header."""

from collections.abc import Collection
from datetime import date

from django.core.exceptions import ValidationError
from django.utils import timezone

from orders.domain.order_checks import check_ship_by
from orders.models import Address, Order
from orders.order_form import told
from orders.order_form.heads import Head, read_day
from orders.queries.order_forms import van_weekdays

LONGEST_REFERENCE = 40


def header_of(order: Order, head: Head, offered: Collection[date]) -> tuple[dict, list[str]]:
    """A draft's header from what the shop wrote, and what is to be said of it. `more` in it: words that found no field
    of their own and belong into the notes. `offered`: the days the form had to choose from.
    """
    more: list[str] = []
    reference = " ".join(head.reference.split())
    if len(reference) > LONGEST_REFERENCE:
        more.append(f"Their reference: {reference}")
        reference = reference[:LONGEST_REFERENCE]
    ship_by, about_day = _ship_by(order, head.day, offered)
    address, known = _address(order, head.address)
    if about_day and head.day:
        more.append(f"Leaves us on: {head.day[:80]}")
    if not known and head.address:
        more.append(f"Deliver to: {head.address[:200]}")
    header = {"reference": reference, "ship_by": ship_by, "deliver_to": address, "more": more}
    return header, [*about_day, *told.about_address(head.address, str(address or ""), known=known)]


def _ship_by(order: Order, written: str, offered: Collection[date]) -> tuple[date, list[str]]:
    """Their day where it can be kept; else the day a new draft has, and why."""
    meant = read_day(written, timezone.localdate(), offered) if written else None
    if meant is None:
        return order.ship_by, told.about_day(written, None, order.ship_by)
    try:
        check_ship_by(meant)
    except ValidationError as error:
        return order.ship_by, told.about_day(written, meant, order.ship_by, refused=" ".join(error.messages))
    van_goes = told.whether_van_goes(meant, van_weekdays())
    return meant, told.about_day(written, meant, meant, van_goes=van_goes)


def _address(order: Order, written: str) -> tuple[Address | None, bool]:
    """The shop's delivery address they mean: written as on the form, or by its label alone."""
    addresses = list(order.shop.addresses.filter(kind="delivery").order_by("-usual", "label"))
    said = " ".join(written.split()).casefold()
    for named in (str, lambda one: one.label):
        found = [one for one in addresses if " ".join(named(one).split()).casefold() == said]
        if len(found) == 1:
            return found[0], True
    return order.deliver_to, not said
