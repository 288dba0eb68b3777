import django_tables2 as tables
from django.utils.html import format_html

from inventory.material_words import BOUGHT_IN, amount_in_words, as_bought, overdue_words
from inventory.models import Material, MaterialLot, MaterialMovement, Purchase, Supplier
from inventory.queries.materials import worth_of
from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn

MONEY = {"verbose_name": "Worth (£)", "attrs": RIGHT}


class AmountColumn(tables.Column):
    """An amount with its unit on the page, a bare figure in kg, m or pieces in a file. `unit` gives a row's unit."""

    def __init__(self, *args, unit=lambda row: row.material.unit, nought="–", **kwargs):
        self.unit, self.nought = unit, nought
        super().__init__(*args, **{"attrs": RIGHT, **kwargs})

    def render(self, value, record):
        return amount_in_words(value, self.unit(record)) if value else self.nought

    def value(self, value, record):
        return as_bought(value, self.unit(record)) if value is not None else None


class MaterialTable(tables.Table):
    """Rows are queries.materials.Stocked."""

    caption = "Materials"
    name = tables.Column(
        "Material", accessor="material__name", linkify=lambda record: record.material.get_absolute_url()
    )
    kind = tables.Column(accessor="material__kind", attrs=SOFT)
    unit = tables.Column(empty_values=(), visible=False)
    on_hand = AmountColumn("There", nought="none", orderable=False)
    keep = AmountColumn("Always keep", accessor="material__keep", orderable=False)
    low = tables.Column("Runs low", order_by="-low")
    oldest = DateColumn(verbose_name="Oldest lot came on", format="j M Y", default="–", attrs=RIGHT)
    under_way = AmountColumn("On order", orderable=False)
    due_on = DateColumn(verbose_name="Expected", format="j M Y", default="", attrs=RIGHT)
    worth = tables.Column(**MONEY)

    class Meta:
        fields = ("name", "kind", "unit", "on_hand", "keep", "low", "oldest", "under_way", "due_on", "worth")
        empty_text = "No material fits."

    def render_low(self, value):
        return "below what is kept" if value else ""

    def value_low(self, value):
        return "yes" if value else "no"

    def value_unit(self, record):
        return BOUGHT_IN[record.material.unit][0]

    def value_oldest(self, value):
        return value

    def value_due_on(self, value):
        return value

    def render_worth(self, value):
        return f"{value:,.2f}" if value else "–"

    def value_worth(self, value):
        return value


class LotsOfMaterialTable(tables.Table):
    caption = "Lots"
    code = tables.Column("Lot", linkify=True, attrs={"td": {"class": "nowrap"}})
    supplier = tables.Column(default="our own", attrs=SOFT)
    supplier_lot = tables.Column("Their lot", default="", attrs=SOFT)
    came_on = DateColumn(verbose_name="Came on", format="j M Y", attrs=DATE)
    amount = AmountColumn("As it came")
    on_hand = AmountColumn("There", nought="none")
    worth = tables.Column(empty_values=(), orderable=False, **MONEY)

    class Meta:
        model = MaterialLot
        fields = ("code", "supplier", "supplier_lot", "came_on", "amount", "on_hand", "worth")
        empty_text = "No lot of it holds anything."
        orderable = False

    def render_worth(self, record):
        if not record.price and record.supplier_id:
            return "no price yet"
        return f"{worth_of(record):,.2f}"


class LotHistoryTable(tables.Table):
    caption = "Movements of this lot"
    at = DateColumn(verbose_name="When", format="j M Y, H:i", attrs=DATE)
    kind = tables.Column("What")
    amount = AmountColumn(unit=lambda row: row.lot.material.unit)
    stood = AmountColumn("There then", unit=lambda row: row.lot.material.unit, nought="none")
    reason = tables.Column(default="", attrs=SOFT)
    reference = tables.Column(default="", verbose_name="For", attrs=SOFT)
    person = tables.Column("Who")

    class Meta:
        model = MaterialMovement
        fields = ("at", "kind", "amount", "stood", "reason", "reference", "person")
        orderable = False
        empty_text = "Nothing has moved."

    def render_amount(self, value, record):
        return f"{'+' if value > 0 else '−'}{amount_in_words(abs(value), record.lot.material.unit)}"


class PurchaseTable(tables.Table):
    caption = "Orders of material"
    material = tables.Column(linkify=("purchase", {"pk": tables.A("pk")}), order_by="material__name")
    amount = AmountColumn(orderable=False)
    supplier = tables.Column(order_by="supplier__name")
    ordered_on = DateColumn(verbose_name="Ordered", format="j M Y", attrs=DATE)
    due_on = DateColumn(verbose_name="Expected", format="j M Y", attrs=DATE)
    stands = tables.Column(empty_values=(), orderable=False)
    price = tables.Column("Price agreed (£)", default="–", attrs=RIGHT)

    class Meta:
        model = Purchase
        fields = ("material", "amount", "supplier", "ordered_on", "due_on", "stands", "price")
        empty_text = "Nothing is on order."

    def __init__(self, *args, today, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today

    def render_stands(self, record):
        if record.state == Purchase.UNDER_WAY:
            return overdue_words(record.due_on, self.today)
        if record.lot:
            return format_html('came as <a href="{}">{}</a>', record.lot.get_absolute_url(), record.lot)
        return record.state

    def render_price(self, value):
        return f"{value:,.2f}"


class SupplierTable(tables.Table):
    name = tables.Column(linkify=("supplier", {"pk": tables.A("pk")}))
    lead_days = tables.Column(verbose_name="Days to delivery", attrs=RIGHT)
    email = tables.Column(verbose_name="E-mail", default="–")
    telephone = tables.Column(default="–", attrs={"td": {"class": "nowrap"}})
    sells = tables.Column(verbose_name="Materials", attrs=RIGHT)
    active = tables.BooleanColumn(yesno="in use,not in use", verbose_name="Stands")

    class Meta:
        model = Supplier
        fields = ("name", "lead_days", "email", "telephone", "sells", "active")
        empty_text = "No supplier yet."


class MaterialSetUpTable(tables.Table):
    name = tables.Column(linkify=("material_setup", {"pk": tables.A("pk")}))
    supplier = tables.Column(default="–", order_by="supplier__name")
    pack = AmountColumn("Smallest order", unit=lambda row: row.unit, orderable=False)
    keep = AmountColumn("Always keep", unit=lambda row: row.unit, orderable=False)
    active = tables.BooleanColumn(yesno="in use,not in use", verbose_name="Stands")

    class Meta:
        model = Material
        fields = ("name", "kind", "supplier", "supplier_code", "pack", "keep", "active")
        empty_text = "No material yet."


class MixTable(tables.Table):
    """Rows: {"name", "url", "parts"}; `parts` in words."""

    name = tables.Column(linkify=lambda record: record["url"])
    parts = tables.Column(orderable=False)

    class Meta:
        orderable = False
        empty_text = "None yet."
