"""Invoices of before this had sterling alone; what is issued from now on never changes either; two new series."""

from django.db import migrations
from django.db.models import F

from inventory.triggers import guard, unguard

TABLES = (
    "orders_invoice",
    "orders_invoiceddelivery",
    "orders_invoiceline",
    "orders_invoicevat",
    "orders_depositdeducted",
    "orders_creditnote",
    "orders_creditnoteline",
    "orders_creditnotevat",
    "orders_proforma",
    "orders_return",
    "orders_returnline",
)
SERIES = (("credit note", "CN-", 1001), ("pro forma", "PF-", 1001))


def say_what_they_were(apps, schema_editor):
    """Until now every invoice was in pounds, within the country, and of a workshop registered or not."""
    invoices = apps.get_model("orders", "Invoice").objects
    invoices.update(vat_sterling=F("vat"))
    invoices.filter(vat_rows__category="O").update(treatment="no vat")


def put_first_rows(apps, schema_editor):
    for name, prefix, first in SERIES:
        apps.get_model("orders", "Series").objects.create(name=name, prefix=prefix, next=first)


def take_first_rows(apps, schema_editor):
    apps.get_model("orders", "Series").objects.filter(name__in=[name for name, _, _ in SERIES]).delete()


class Migration(migrations.Migration):
    dependencies = [("orders", "0007_vat_and_credit")]
    operations = [
        migrations.RunPython(say_what_they_were, migrations.RunPython.noop),
        migrations.RunPython(put_first_rows, take_first_rows),
        migrations.RunPython(
            lambda apps, schema_editor: guard(schema_editor, *TABLES),
            lambda apps, schema_editor: unguard(schema_editor, *TABLES),
        ),
    ]
