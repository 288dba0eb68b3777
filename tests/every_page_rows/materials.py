import uuid
from datetime import timedelta

from django.utils import timezone

from inventory.domain.buying import order_material
from tests.factories.materials import make_blend, make_dye, make_material_lot, make_supplier


def rows(season) -> dict[str, dict]:
    candle, supplier = season.candle, make_supplier()
    (wax,) = make_blend(candle.wax)
    make_dye(candle.colour)
    lot = {"pk": make_material_lot(wax, 25_000, by=season.by, supplier=supplier).pk}
    purchase = order_material(
        material=wax, supplier=supplier, amount=25_000, due_on=timezone.localdate() + timedelta(days=7),
        submission=uuid.uuid4(), by=season.by,
    )  # fmt: skip
    material, bought, seller = {"pk": wax.pk}, {"pk": purchase.pk}, {"pk": supplier.pk}
    return {
        **dict.fromkeys(
            ("material", "material_in", "purchase_new", "material_setup", "material_setup_delete"), material
        ),
        **dict.fromkeys(("material_lot", "material_lot_price", "material_adjust"), lot),
        **dict.fromkeys(("purchase", "purchase_call_off"), bought),
        **dict.fromkeys(("supplier", "supplier_delete"), seller),
        "blend": {"pk": candle.wax_id},
        "dye": {"pk": candle.colour_id},
    }
