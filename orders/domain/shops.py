"""Shops, their addresses and contacts. Every change grows the shop's version and is put on record."""

from collections.abc import Mapping
from functools import partial

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.db.models import Model, ProtectedError

from inventory.domain.records import record
from inventory.domain.versions import check_version
from orders.domain.setting_aside import sync_shop_wants
from orders.models import Address, Contact, Order, Shop
from orders.models.order import CONFIRMED, DRAFT

# What the bookkeeper may change: when and whether a shop pays, never what it pays.
MONEY_FIELDS = (
    "terms_days",
    "prompt_percent",
    "prompt_days",
    "pro_forma_first",
    "credit_limit",
    "on_stop",
    "stop_reason",
)
SHOP_FIELDS = (
    "name",
    "town",
    "rank",
    "group",
    "currency",
    "discount",
    "minimum_order",
    "carriage",
    "carriage_by",
    "carriage_kilos",
    "carriage_free_above",
    "complete_only",
    "other_colour",
    "reference_required",
    "vat_number",
    "wants_seconds_list",
    "packer_notes",
    "active",
    *MONEY_FIELDS,
)


def fields_open_to(person) -> tuple[str, ...]:
    """The fields of a shop this person may change: all for the owner, the money ones for the bookkeeper."""
    if person.owner:
        return SHOP_FIELDS
    return MONEY_FIELDS if person.bookkeeper else ()


def check_stop(*, on_stop: bool, reason: str) -> None:
    """ValidationError at the reason where a shop is put on stop without one."""
    if on_stop and not reason.strip():
        raise ValidationError({"stop_reason": "Say why the shop is on stop."})


@transaction.atomic
def add_shop(*, fields: Mapping, by) -> Shop:
    """A new shop. ValidationError by field where something does not fit; PermissionDenied unless `by` is an owner."""
    if not by.owner:
        raise PermissionDenied("Only the owner takes on a new shop.")
    shop = Shop()
    _fill(shop, fields)
    shop.save()
    record(subject="shop", subject_id=shop.pk, what=f"Taken on: {shop}", by=by)
    return shop


@transaction.atomic
def change_shop(*, shop: Shop, version: int, fields: Mapping, by) -> Shop:
    """Change a shop as it stood at `version`. StaleVersion where somebody was quicker; the same values change nothing.

    Orders already confirmed keep the terms they were confirmed on.
    """
    shop = _lock(shop, version)
    if set(fields) - set(fields_open_to(by)):
        raise PermissionDenied("These fields of a shop are the owner's to change.")
    before = {name: getattr(shop, name) for name in fields}
    open_orders = Order.objects.filter(shop=shop, status__in=(DRAFT, CONFIRMED)).count()
    if not fields.get("active", True) and shop.active and open_orders:
        raise ValidationError({"active": f"{open_orders} of its orders are still open: send or cancel them first."})
    _fill(shop, fields)
    if changes := _changes(shop, before):
        shop.version += 1
        shop.save()
        record(subject="shop", subject_id=shop.pk, what="; ".join(changes), by=by)
        # Once the shop's row is free again: papers lock order, then shop, so orders are not locked from here.
        transaction.on_commit(partial(sync_shop_wants, shop))
    return shop


@transaction.atomic
def save_address(*, shop: Shop, version: int, fields: Mapping, by, address: Address | None = None) -> Address:
    """Add or change an address. The first of a kind is the usual one; a new usual one unsets the old.

    An address keeps its kind. The usual one stops being it only when another one becomes it.
    """
    shop = _lock(shop, version)
    address = Address.objects.get(pk=address.pk, shop=shop) if address else Address(shop=shop)
    new, was_usual = address.pk is None, address.usual
    for name, value in fields.items():
        if name != "kind" or new:
            setattr(address, name, value)
    if was_usual and not address.usual:
        raise ValidationError({"usual": "Make another address the usual one; then this one no longer is."})
    same_kind = Address.objects.filter(shop=shop, kind=address.kind)
    address.usual = address.usual or not same_kind.exists()
    if address.usual:
        same_kind.exclude(pk=address.pk).filter(usual=True).update(usual=False)
    address.full_clean()
    address.save()
    usual = ", the usual one" if address.usual else ""
    _put_down(shop, f"{'Added' if new else 'Changed'} {address.kind} address{usual}: {address}, {address.town}", by)
    return address


@transaction.atomic
def remove_address(*, shop: Shop, address: Address, version: int, by) -> None:
    """Remove an address no order goes to; refused for the usual one while the shop has others of its kind."""
    shop = _lock(shop, version)
    others = Address.objects.filter(shop=shop, kind=address.kind).exclude(pk=address.pk)
    if address.usual and others.exists():
        raise ValidationError("This is the usual address: make another one the usual one first.")
    try:
        address.delete()
    except ProtectedError:
        raise ValidationError("Orders go to this address, so it stays; make another one the usual one.") from None
    _put_down(shop, f"Removed {address.kind} address: {address}, {address.town}", by)


@transaction.atomic
def save_contact(*, shop: Shop, version: int, fields: Mapping, by, contact: Contact | None = None) -> Contact:
    """Add or change a contact of the shop."""
    shop = _lock(shop, version)
    contact = Contact.objects.get(pk=contact.pk, shop=shop) if contact else Contact(shop=shop)
    verb = "Changed" if contact.pk else "Added"
    for name, value in fields.items():
        setattr(contact, name, value)
    contact.full_clean()
    contact.save()
    _put_down(shop, f"{verb} contact: {contact}", by)
    return contact


@transaction.atomic
def remove_contact(*, shop: Shop, contact: Contact, version: int, by) -> None:
    shop = _lock(shop, version)
    contact.delete()
    _put_down(shop, f"Removed contact: {contact}", by)


def _lock(shop: Shop, version: int) -> Shop:
    shop = Shop.objects.select_for_update().get(pk=shop.pk)
    check_version(shop, version)
    return shop


def _fill(shop: Shop, fields: Mapping) -> None:
    for name, value in fields.items():
        setattr(shop, name, value)
    check_stop(on_stop=shop.on_stop, reason=shop.stop_reason)
    if not shop.on_stop:
        shop.stop_reason = ""
    shop.full_clean()


def _put_down(shop: Shop, what: str, by) -> None:
    shop.version += 1
    shop.save(update_fields=["version"])
    record(subject="shop", subject_id=shop.pk, what=what, by=by)


def _changes(row: Model, before: Mapping) -> list[str]:
    """What changed, in words: "discount (%): 5.00, was 0.00"."""
    return [
        f"{row._meta.get_field(name).verbose_name}: {_in_words(row, name, getattr(row, name))}, "
        f"was {_in_words(row, name, was)}"
        for name, was in before.items()
        if getattr(row, name) != was
    ]


def _in_words(row: Model, name: str, value) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    choices = dict(row._meta.get_field(name).flatchoices)
    return str(choices.get(value, value)) if value not in ("", None) else "empty"
