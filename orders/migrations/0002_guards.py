"""Issued paper never changes; every series starts with a row of its own."""

from datetime import date

from django.db import migrations

from inventory.triggers import guard, unguard

TABLES = (
    "orders_paper",
    "orders_paperfile",
    "orders_papercancellation",
    "orders_invoice",
    "orders_invoiceddelivery",
    "orders_invoiceline",
    "orders_invoicevat",
)
# UK rates; standard since 4 January 2011, reduced and zero older than any order in this book.
RATES = (("standard", "S", "20"), ("reduced", "S", "5"), ("zero", "Z", "0"))
SERIES = (("order", "", 2001), ("delivery note", "DN-", 1001), ("invoice", "INV-", 1001))


def put_first_rows(apps, schema_editor):
    """What a book already has of them it keeps: its numbers have run on since."""
    for name, prefix, first in SERIES:
        apps.get_model("orders", "Series").objects.get_or_create(name=name, defaults={"prefix": prefix, "next": first})
    for vat_class, category, percent in RATES:
        apps.get_model("orders", "VatRate").objects.get_or_create(
            vat_class=vat_class, since=date(2011, 1, 4), defaults={"category": category, "percent": percent}
        )


class Migration(migrations.Migration):
    dependencies = [("orders", "0001_initial")]
    operations = [
        migrations.RunPython(
            lambda apps, schema_editor: guard(schema_editor, *TABLES),
            lambda apps, schema_editor: unguard(schema_editor, *TABLES),
        ),
        migrations.RunPython(put_first_rows, migrations.RunPython.noop),
    ]
