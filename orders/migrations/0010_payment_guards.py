"""Payments never change once they are posted; statements, reminders and late charges have numbers of their own."""

from datetime import date

from django.db import migrations

from inventory.triggers import guard, unguard

TABLES = (
    "orders_payment",
    "orders_paymentpart",
    "orders_prompttaken",
    "orders_latecharge",
    "orders_latewaiver",
)
SERIES = (("statement", "ST-", 1001), ("reminder", "RM-", 1001), ("late charge", "LC-", 1001))
# Bank Rate as the Bank of England set it; from memory. The set-up keeps the list from then on.
BASE_RATES = (("4.75", date(2024, 11, 7)), ("4.50", date(2025, 2, 6)), ("4.25", date(2025, 5, 8)),
              ("4.00", date(2025, 8, 7)), ("3.75", date(2025, 12, 18)))  # fmt: skip


def put_first_rows(apps, schema_editor):
    for name, prefix, first in SERIES:
        apps.get_model("orders", "Series").objects.create(name=name, prefix=prefix, next=first)
    for percent, since in BASE_RATES:
        apps.get_model("orders", "BaseRate").objects.create(percent=percent, since=since)


def take_first_rows(apps, schema_editor):
    apps.get_model("orders", "Series").objects.filter(name__in=[name for name, _, _ in SERIES]).delete()


class Migration(migrations.Migration):
    dependencies = [("orders", "0009_payments")]
    operations = [
        migrations.RunPython(put_first_rows, take_first_rows),
        migrations.RunPython(
            lambda apps, schema_editor: guard(schema_editor, *TABLES),
            lambda apps, schema_editor: unguard(schema_editor, *TABLES),
        ),
    ]
