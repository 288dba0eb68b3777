"""What lies there of each material, what it is worth, and what is on its way. Reads only."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from django.db.models import Case, F, Q, QuerySet, Sum, When, Window

from inventory.material_words import overdue_in_words
from inventory.models import Material, MaterialLot, MaterialMovement, Purchase
from inventory.models.material import MATERIAL_KINDS

PENNY = Decimal("0.01")


@dataclass
class Stocked:
    """One material: its lots that hold something, oldest first, and what was ordered of it, the earliest first."""

    material: Material
    lots: list[MaterialLot] = field(default_factory=list)
    coming: list[Purchase] = field(default_factory=list)

    @property
    def pk(self) -> int:
        return self.material.pk

    @property
    def on_hand(self) -> int:
        return sum(lot.on_hand for lot in self.lots)

    @property
    def worth(self) -> Decimal:
        return sum((worth_of(lot) for lot in self.lots), Decimal(0))

    @property
    def oldest(self) -> date | None:
        return self.lots[0].came_on if self.lots else None

    @property
    def under_way(self) -> int:
        return sum(purchase.amount for purchase in self.coming)

    @property
    def due_on(self) -> date | None:
        return self.coming[0].due_on if self.coming else None

    @property
    def low(self) -> bool:
        """Below what is always to lie there."""
        return self.on_hand < self.material.keep


def worth_of(lot: MaterialLot) -> Decimal:
    """What is left of a lot at its own price, GBP to the penny."""
    return (lot.price_a_unit * lot.on_hand).quantize(PENNY, ROUND_HALF_UP)


def materials_in_stock(materials: Iterable[Material]) -> list[Stocked]:
    """Each with its lots and orders, in the order given. Three queries."""
    rows = {material.pk: Stocked(material) for material in materials}
    lots = MaterialLot.objects.filter(material__in=rows, on_hand__gt=0).order_by("came_on", "pk")
    for lot in lots:
        rows[lot.material_id].lots.append(lot)
    coming = Purchase.objects.filter(material__in=rows, state=Purchase.UNDER_WAY).select_related("supplier")
    for purchase in coming.order_by("due_on", "pk"):
        rows[purchase.material_id].coming.append(purchase)
    return list(rows.values())


def all_materials() -> QuerySet[Material]:
    """Every material in use, or that still lies there: wax first, then by name."""
    held = MaterialLot.objects.filter(on_hand__gt=0).values("material")
    rows = Material.objects.filter(Q(active=True) | Q(pk__in=held))
    in_turn = Case(*(When(kind=kind, then=place) for place, (kind, _) in enumerate(MATERIAL_KINDS)), default=0)
    return rows.select_related("supplier", "remelt_of", "remelt_colour").order_by(in_turn, "name")


def lots_of(material: Material, every: bool = False) -> QuerySet[MaterialLot]:
    """Its lots that hold something, oldest first; with `every` all there ever were, the newest first."""
    lots = MaterialLot.objects.filter(material=material).select_related("supplier", "material")
    return lots.order_by("-came_on", "-pk") if every else lots.filter(on_hand__gt=0).order_by("came_on", "pk")


def history_of(lot: MaterialLot) -> QuerySet[MaterialMovement]:
    """The lot's movements, the newest first, each with `stood`: what was there after it."""
    running = Window(Sum("amount"), order_by=[F("at").asc(), F("pk").asc()])
    return lot.movements.select_related("person", "lot__material").annotate(stood=running).order_by("-at", "-pk")


def purchases() -> QuerySet[Purchase]:
    """Every order, what is expected first on top."""
    return Purchase.objects.select_related("material", "supplier", "lot", "made_by").order_by("due_on", "pk")


def overdue(today: date) -> QuerySet[Purchase]:
    """What should have come by now."""
    return purchases().filter(state=Purchase.UNDER_WAY, due_on__lt=today)


def overdue_said(today: date) -> str:
    """Orders that should have come by now, in a line; empty where there is none. One query."""
    return overdue_in_words([(f"{row.material} of {row.supplier}", row.due_on) for row in overdue(today)], today)


def drawn_by(material: Material) -> dict[str, list[str]]:
    """What draws a material, in words by sort: waxes with shares, colours with doses, candles. Three queries."""
    found: dict[str, list[str]] = defaultdict(list)
    for part in material.blended_in.select_related("wax"):
        found["waxes"].append(f"{part.wax} ({part.percent.normalize():f} % of it)")
    for part in material.dyed_in.select_related("colour"):
        found["colours"].append(f"{part.colour} ({part.grams_a_kilo.normalize():f} g to a kg of wax)")
    found["candles"] = [candle.name for candle in material.candles.filter(active=True).order_by("name")]
    return {sort: names for sort, names in found.items() if names}
