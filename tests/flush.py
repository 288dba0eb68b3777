"""Lets a transactional test empty the tables, which the append-only triggers refuse, and puts the house back."""

from types import SimpleNamespace

from django.apps import apps
from django.core import serializers
from django.db import connection, transaction
from django.test import TransactionTestCase

from inventory.triggers import guard, unguard

HOUSE = ("config", "inventory", "production", "orders")
GUARDED = {
    "sqlite": "SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger'",
    "postgresql": "SELECT trigger_name, event_object_table FROM information_schema.triggers "
    "WHERE trigger_schema = current_schema()",
}


def guarded_tables() -> list[str]:
    """The tables that refuse an update, as the migrations left them."""
    with connection.cursor() as cursor:
        cursor.execute(GUARDED[connection.vendor])
        return sorted({table for name, table in cursor.fetchall() if name.lower().endswith("_no_update")})


def first_rows() -> str:
    """The rows the migrations put in (series, VAT rates), as JSON."""
    models = [model for label in HOUSE for model in apps.get_app_config(label).get_models()]
    return serializers.serialize("json", [row for model in models for row in model.objects.order_by("pk")])


def keep_house_over_flush() -> None:
    """Call once, when the test database has just been migrated: from then on each flush ends as the migrations did."""
    tables, rows, flush = guarded_tables(), first_rows(), TransactionTestCase._fixture_teardown
    editor = SimpleNamespace(connection=connection)

    def flush_and_put_back(case):
        with transaction.atomic():
            unguard(editor, *tables)
        flush(case)
        with transaction.atomic():
            guard(editor, *tables)
            for row in serializers.deserialize("json", rows):
                row.save()

    TransactionTestCase._fixture_teardown = flush_and_put_back
