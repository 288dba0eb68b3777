"""What the set-up holds, and what is still missing before the first paper is printed and the first frame dipped."""

from dataclasses import dataclass, replace

from django.contrib.auth import get_user_model
from django.urls import reverse
from django.utils import timezone

from inventory.domain.set_up import WORKSHOP_ID
from inventory.models import Colour, LabelSheet, Material, SheetFile, Shelf, Supplier, Wax, Workshop
from inventory.words import counted
from orders.domain.pricing import seconds_rule
from orders.models import BaseRate, BoxKind, ExchangeRate, PriceList, SecondsAge, Series, ShopGroup, VanDay
from orders.prices import STERLING, seconds_cost
from orders.queries.invoices import rates_on
from production.queries.set_up import FloorPart, parts_of_floor


@dataclass(frozen=True)
class Part:
    """One page of the set-up: what stands in it, and in words what is missing of it (empty: nothing)."""

    part: str
    url: str
    stands: str
    missing: str = ""


def parts_of_set_up() -> list[Part | FloorPart]:
    """Every page of the set-up in the order one fills it in."""
    rates = rates_on(timezone.localdate())
    van_days = [str(day) for day in VanDay.objects.all()]
    boxes = BoxKind.objects.filter(active=True).count()
    return [
        _workshop(),
        _listed("Waxes", "waxes", Wax.objects.count(), "a wax"),
        _listed("Colours", "colours", Colour.objects.count(), "a colour"),
        _listed("Suppliers", "suppliers", Supplier.objects.filter(active=True).count()),
        _listed("Materials", "materials_setup", Material.objects.filter(active=True, remelt_of=None).count()),
        _listed("Blends", "blends", Wax.objects.filter(blend__isnull=False).distinct().count()),
        _listed("Dyes", "dyes", Colour.objects.filter(dyes__isnull=False).distinct().count()),
        _listed("Shelves", "shelves", Shelf.objects.count()),
        _listed("Label sheets", "label_sheets", LabelSheet.objects.count()),
        _listed("Box kinds", "box_kinds", boxes, "a box kind"),
        Part("Van days", reverse("van_days"), ", ".join(van_days) or "none", "" if van_days else "a van day"),
        Part(
            "VAT rates",
            reverse("vat_rates"),
            ", ".join(f"{name} {rate.percent.normalize():f} %" for name, rate in sorted(rates.items())) or "none",
            "" if "standard" in rates else "a standard VAT rate",
        ),
        _listed("Price lists", "price_lists", PriceList.objects.count()),
        _listed("Shop groups", "shop_groups", ShopGroup.objects.count()),
        Part("Seconds' prices", reverse("seconds_prices"), _seconds_cost()),
        _listed("Seconds' steps of age", "seconds_ages", SecondsAge.objects.count()),
        _listed("Exchange rates", "exchange_rates", ExchangeRate.objects.count()),
        _listed("Base rates", "base_rates", BaseRate.objects.count()),
        _next_numbers(),
        *parts_of_floor(),
        _listed("People", "people", get_user_model().objects.filter(is_active=True).count()),
        Part("Sheets in", reverse("sheets_in"), _sheets_in()),
        Part("Take it with you", reverse("take_with_you"), "every table, as XLSX or CSV"),
    ]


def sentence_of(parts: list[Part | FloorPart]) -> str:
    """The first line: "All set ..." or "Bank details and a box kind are missing before ..."."""
    papers = [
        word for part in parts if part.missing and isinstance(part, Part) for word in part.missing.split(" and ")
    ]
    floor = [part.missing for part in parts if part.missing and isinstance(part, FloorPart)]
    if not papers and not floor:
        return "All set: papers can be printed, and the floor can dip."
    said = []
    if papers:
        said.append(f"{_missing(papers)} before the first paper can be printed.")
    if floor:
        said.append(f"{_missing(floor)} before the floor can dip.")
    return " ".join(said if papers else ["Papers can be printed.", *said])


def _missing(words: list[str]) -> str:
    named = " and ".join(filter(None, [", ".join(words[:-1]), words[-1]]))
    verb = "are" if len(words) > 1 or words[0].endswith("s") or words[0].startswith("recipes") else "is"
    return f"{named[:1].upper()}{named[1:]} {verb} missing"


def _workshop() -> Part:
    workshop = Workshop.objects.filter(pk=WORKSHOP_ID).first()
    if workshop is None:
        return Part("Workshop", reverse("workshop"), "nothing yet", "the workshop's name and bank details")
    missing = "" if workshop.account_number and workshop.sort_code else "bank details"
    vat = workshop.vat_number or "not registered for VAT"
    return Part("Workshop", reverse("workshop"), f"{workshop.name}, {workshop.town}; {vat}", missing)


def _sheets_in() -> str:
    loaded = SheetFile.objects.filter(loaded_at__isnull=False).count()
    return f"{counted(loaded, 'sheet')} loaded" if loaded else "candles, shops, stock and orders from a spreadsheet"


def _seconds_cost() -> str:
    return seconds_cost(replace(seconds_rule(timezone.localdate(), STERLING), ages=())).removesuffix(".")


def _next_numbers() -> Part:
    rows = [f"{row.name} {row.prefix}{row.next}" for row in Series.objects.order_by("pk")]
    return Part("Next numbers", reverse("series"), ", ".join(rows))


def _listed(part: str, url_name: str, count: int, missing: str = "") -> Part:
    return Part(part, reverse(url_name), f"{count:,}" if count else "none", "" if count else missing)
