"""Issued paper never changes; every series starts with a row of its own."""

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
SERIES = (("order", "", 2001), ("delivery note", "DN-", 1001), ("invoice", "INV-", 1001))


def start_series(apps, schema_editor):
    for name, prefix, first in SERIES:
        apps.get_model("orders", "Series").objects.create(name=name, prefix=prefix, next=first)


class Migration(migrations.Migration):
    dependencies = [("orders", "0001_initial")]
    operations = [
        migrations.RunPython(
            lambda apps, schema_editor: guard(schema_editor, *TABLES),
            lambda apps, schema_editor: unguard(schema_editor, *TABLES),
        ),
        migrations.RunPython(start_series, migrations.RunPython.noop),
    ]
