"""What to buy: each material with what there is, what is under way and what the floor and the packing bench need."""

from dataclasses import dataclass
from datetime import date

from inventory.models import Material, Purchase
from orders.buying import Known
from orders.queries.pack_needs import packing_needs
from production.needs import Need, outlook
from production.queries.needs import arrivals_of, bought_materials, floor_needs, held_of, purchases_under_way


@dataclass(frozen=True)
class Buying:
    """A row of the page. `needs`: the earliest day first."""

    material: Material
    known: Known
    needs: list[Need]
    purchases: list[Purchase]

    @property
    def pk(self) -> int:
        return self.material.pk

    @property
    def under_way(self) -> int:
        return self.known.outlook.coming


def what_to_buy(today: date) -> list[Buying]:
    """Every material that is bought, the most pressing on top. A constant number of queries."""
    materials = bought_materials()
    if not materials:
        return []
    needs, held, purchases = floor_needs(today), held_of(materials), purchases_under_way()
    needs |= packing_needs()
    rows = []
    for material in materials:
        asked = sorted(needs.get(material.pk, ()), key=lambda need: need.day)
        coming = purchases.get(material.pk, [])
        seen = outlook(held[material.pk], asked, arrivals_of(coming), today)
        known = Known(material.name, material.unit, held[material.pk], seen)
        rows.append(Buying(material, known, asked, coming))
    return sorted(rows, key=_pressing)


def _pressing(row: Buying) -> date:
    """The day something has to be done about it, or it is used up."""
    return min(filter(None, (row.known.outlook.order_by, row.known.outlook.runs_out)), default=date.max)
