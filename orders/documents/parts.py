"""What several papers print alike, as it stands on the day they are issued: the house, the shop, a candle."""

from decimal import Decimal

from inventory.models import Candle, Workshop
from orders.boxes import kilograms


def house() -> dict:
    """The workshop as papers that go with goods name it."""
    workshop = Workshop.objects.first() or Workshop(name="", address="", town="", postcode="")
    place = [*workshop.address.splitlines(), workshop.town, workshop.postcode]
    return {
        "name": workshop.name,
        "address": _lines(place),
        "telephone": workshop.telephone,
        "email": workshop.email,
        "company_number": workshop.company_number,
        "returns_address": _lines(workshop.returns_address.splitlines()),
    }


def _lines(lines) -> list[str]:
    return [line.strip() for line in lines if line.strip()]


def receiver(order) -> dict:
    return {"name": order.shop.name, "address": order.deliver_to.as_lines}


def candle_facts(candle: Candle) -> dict:
    """Code, name and picture (mm as text) of a candle that comes with its colour."""
    return {
        "code": candle.code,
        "name": candle.name,
        "picture": {
            "length_mm": f"{candle.length_mm:f}",
            "base_mm": f"{candle.base_mm:f}",
            "tip_mm": f"{candle.tip_mm:f}",
            "colour": candle.colour.hex,
        },
    }


def in_kg(grams: Decimal) -> str:
    return f"{kilograms(grams):f}"
