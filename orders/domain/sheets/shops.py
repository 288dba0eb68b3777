"""Shops from a sheet, each with its usual delivery address and a contact."""

from collections.abc import Sequence

from django.core.exceptions import ValidationError

from inventory.domain.sheet_columns import changed_fields, column_of, told
from inventory.domain.sheets import Kind, Taking
from inventory.sheets.columns import Column, FilledRow
from inventory.sheets.outcome import CHANGED, NEW, UNCHANGED
from inventory.sheets.values import same, text_of
from orders.domain.shops import SHOP_FIELDS, add_shop, change_shop, save_address, save_contact
from orders.models import Address, Contact, Shop, ShopGroup

ALSO = {
    "name": ("Shop", "Customer", "Account", "Company"),
    "town": ("City", "Place"),
    "discount": ("Discount", "Disc"),
    "terms_days": ("Terms", "Payment terms", "Days"),
    "minimum_order": ("Minimum order",),
    "vat_number": ("VAT no", "VAT"),
    "complete_only": ("Complete only",),
    "packer_notes": ("Notes",),
    "active": ("We serve this shop",),
    "stop_reason": ("Why it is on stop",),
    "on_stop": ("On stop",),
}
LABELS = {"stop_reason": "Why it is on stop", "active": "We serve this shop", "on_stop": "On stop"}
EXAMPLES = {"name": "Example shop", "town": "Wexcombe", "rank": "5", "discount": "0", "terms_days": "30"}


def columns() -> list[Column]:
    groups = {group.name: group for group in ShopGroup.objects.all()}
    own = [
        column_of(
            Shop, name, label=LABELS.get(name, ""), also=ALSO.get(name, ()), needed=name in ("name", "town"),
            rows=groups if name == "group" else None, example=EXAMPLES.get(name, ""),
        )
        for name in SHOP_FIELDS
    ]  # fmt: skip
    return [
        *own[:2],
        column_of(Address, "lines", label="Address", also=("Street", "Address 1", "Delivery address")),
        column_of(Address, "postcode", also=("Post code", "Zip")),
        column_of(
            Address, "country", label="Country", also=("Country code",), says="two capital letters", example="GB"
        ),
        Column("contact", "Contact", text_of(80), ("Contact name", "Buyer", "Person"), False, "a name"),
        column_of(Contact, "email", label="E-mail", also=("Mail",), says="an e-mail address"),
        column_of(Contact, "telephone", also=("Phone", "Tel", "Mobile")),
        *own[2:],
    ]


def take(rows: Sequence[FilledRow], taking: Taking) -> None:
    there = {same(shop.name): shop for shop in Shop.objects.select_related("group")}
    for row in rows:
        with taking.row(row):
            taking.need(row, "name")
            _take_row(row, there.get(same(row.values["name"])), taking)


def _take_row(row: FilledRow, shop: Shop | None, taking: Taking) -> None:
    own = {name: value for name, value in row.values.items() if name in SHOP_FIELDS}
    new, said = shop is None, []
    if shop is None:
        taking.need(row, "name", "town")
        shop = add_shop(fields=own, by=taking.by)
    elif changes := changed_fields(shop, {**own, "name": shop.name}):
        said.append(told(shop, changes))
        shop = change_shop(shop=shop, version=shop.version, fields=changes, by=taking.by)
    said += filter(None, [_address(row, shop, taking.by), _contact(row, shop, taking.by)])
    what = NEW if new else CHANGED if said else UNCHANGED
    taking.became(row, what, shop.name, "; ".join(said) or shop.town)


def _address(row: FilledRow, shop: Shop, by) -> str:
    """Put the usual delivery address right by the sheet; what was done in words, "" for nothing."""
    given = {name: row.values[name] for name in ("lines", "postcode", "country") if name in row.values}
    usual = shop.addresses.filter(kind="delivery", usual=True).first()
    if not given or (usual and not changed_fields(usual, given)):
        return ""
    if not usual and (lacking := {"lines", "postcode"} - given.keys()):
        raise ValidationError(dict.fromkeys(lacking, "is needed with an address."))
    given["country"] = given.get("country", usual.country if usual else "GB").upper()
    if not usual:
        given |= {"kind": "delivery", "label": "Shop", "town": shop.town, "usual": True}
    _again(save_address, shop, given, by, address=usual)
    return "delivery address changed" if usual else "with a delivery address"


def _contact(row: FilledRow, shop: Shop, by) -> str:
    """Add the contact, or put the one of that name right; without a name, the shop's only one."""
    given = {name: row.values[name] for name in ("email", "telephone") if name in row.values}
    name = row.values.get("contact", "")
    contacts = list(shop.contacts.all())
    if name:
        contact = next((one for one in contacts if same(one.name) == same(name)), None)
    elif not given:
        return ""
    elif len(contacts) > 1:
        raise ValidationError({"contact": f"{shop.name} has several contacts: whose is it?"})
    else:
        contact = contacts[0] if contacts else None
    if contact and not changed_fields(contact, given):
        return ""
    given["name"] = contact.name if contact else name or shop.name
    _again(save_contact, shop, given, by, contact=contact)
    return f"contact {given['name']} {'changed' if contact else 'added'}"


def _again(save, shop: Shop, fields: dict, by, **row) -> None:
    """One of the domain's verbs, upon the shop as the verb before it left it."""
    shop.refresh_from_db()
    try:
        save(shop=shop, version=shop.version, fields=fields, by=by, **row)
    except ValidationError as error:
        by_field = error.error_dict if hasattr(error, "error_dict") else None
        # A contact's name stands in the column Contact; Name is the shop's.
        if by_field and save is save_contact and "name" in by_field:
            by_field["contact"] = by_field.pop("name")
        raise


SHOPS = Kind(
    key="shops",
    title="Shops",
    place="shops",
    one="shop",
    many="shops",
    says=(
        "A row is a shop, known by its name. A name the book does not know is a new shop.",
        "Of a shop that is there, what the sheet says otherwise is changed; an empty cell changes nothing.",
        "The address is its usual delivery address; the contact is added, or put right where the name is there.",
    ),
    columns=columns,
    take=take,
    keys=("name",),
)
