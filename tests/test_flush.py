"""Transactional tests empty append-only tables between them; afterwards the house must stand as migrated."""

import pytest
from django.db import DatabaseError, connection, transaction
from django.db.models.deletion import ProtectedError
from django.test import TransactionTestCase

from inventory.models import Movement
from orders.models import Paper, Series, VatRate
from tests.factories import make_lot
from tests.flush import guarded_tables

pytestmark = pytest.mark.django_db(transaction=True)
GUARDED = {
    "inventory_movement", "inventory_record", "orders_paper", "orders_paperfile", "orders_papercancellation",
    "orders_invoice", "orders_invoiceddelivery", "orders_invoiceline", "orders_invoicevat",
}  # fmt: skip


def flush():
    TransactionTestCase("__init__")._fixture_teardown()


def test_flush_empties_guarded_tables():
    make_lot()
    flush()
    assert not Movement.objects.exists()
    assert not Paper.objects.exists()


def test_flush_puts_first_rows_back():
    first = dict(Series.objects.values_list("name", "next"))
    assert {"order": 2001, "delivery note": 1001, "invoice": 1001, "credit note": 1001}.items() <= first.items()
    Series.objects.update(next=9999)
    VatRate.objects.all().delete()
    flush()
    assert dict(Series.objects.values_list("name", "next")) == first
    assert set(VatRate.objects.values_list("vat_class", flat=True)) == {"standard", "reduced", "zero"}


def test_flush_puts_guards_back():
    assert set(guarded_tables()) >= GUARDED
    flush()
    assert set(guarded_tables()) >= GUARDED
    lot = make_lot()
    with pytest.raises(DatabaseError, match="append-only"):
        Movement.objects.filter(lot=lot).update(pairs=1)
    with pytest.raises((DatabaseError, ProtectedError), match="append-only"):
        lot.movements.all().delete()


def test_flush_mends_guards_a_corrupting_test_took_off():
    from types import SimpleNamespace

    from inventory.triggers import unguard

    with transaction.atomic():
        unguard(SimpleNamespace(connection=connection), "inventory_movement")
    assert "inventory_movement" not in guarded_tables()
    flush()
    assert "inventory_movement" in guarded_tables()
