import itertools
import uuid
from datetime import timedelta
from decimal import Decimal

from django.utils import timezone

from inventory.models import BlendPart, DyePart, Material, MaterialLot, MaterialMovement, Purchase, Supplier
from inventory.models.material import DYE, WAX
from tests.factories.house import make_person

_serial = itertools.count(1)


def make_supplier(**fields) -> Supplier:
    n = next(_serial)
    return Supplier.objects.create(**{"name": f"Supplier {n}", "email": f"sales{n}@supplier.example", **fields})


def make_material(kind: str = WAX, **fields) -> Material:
    n = next(_serial)
    return Material.objects.create(**{"name": f"Material {n}", "kind": kind, **fields})


def make_material_lot(
    material: Material, amount: int, *, by=None, price="0", days_ago: int = 10, **fields
) -> MaterialLot:
    """A lot as it came, with its movement; `amount` in the material's unit."""
    n = next(_serial)
    values = {
        "code": f"M{n}",
        "supplier_lot": f"batch {n}",
        "came_on": timezone.localdate() - timedelta(days=days_ago),
        "price": Decimal(price),
        **fields,
    }
    lot = MaterialLot.objects.create(material=material, amount=amount, on_hand=amount, **values)
    MaterialMovement.objects.create(lot=lot, kind="came", amount=amount, person=by or make_person(), at=timezone.now())
    return lot


def make_blend(wax, **percents) -> list[Material]:
    """A wax blended of new materials, e.g. make_blend(wax, paraffin=80, stearin=20); of one alone without figures."""
    rows = percents or {"all": 100}
    materials = [make_material(WAX) for _ in rows]
    for material, percent in zip(materials, rows.values(), strict=True):
        BlendPart.objects.create(wax=wax, material=material, percent=percent)
    return materials


def make_dye(colour, grams_a_kilo="2") -> Material:
    material = make_material(DYE)
    DyePart.objects.create(colour=colour, material=material, grams_a_kilo=Decimal(grams_a_kilo))
    return material


def make_purchase(material: Material, amount: int, *, by=None, **fields) -> Purchase:
    """Ordered today of the material's supplier, and due in a week."""
    today = timezone.localdate()
    values = {"ordered_on": today, "due_on": today + timedelta(days=7), "submission": uuid.uuid4(), **fields}
    values.setdefault("supplier", material.supplier or make_supplier())
    return Purchase.objects.create(material=material, amount=amount, made_by=by or make_person(), **values)
