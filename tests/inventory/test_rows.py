"""Many rows written at once, as they stand."""

from datetime import date

import pytest
from django.db import IntegrityError, transaction

from inventory.domain.rows import update_rows
from inventory.models import Lot, Shelf
from tests.factories import make_lot, make_shelf

pytestmark = pytest.mark.django_db


def test_named_fields_are_written_and_no_others():
    shelf, lots = make_shelf(), [make_lot(pairs=pairs) for pairs in (12, 24)]
    for lot in lots:
        lot.shelf, lot.made_on, lot.set_aside, lot.dip_run = shelf, date(2026, 1, lot.on_hand), lot.on_hand - 1, "new"
    update_rows(lots, ["shelf", "made_on", "set_aside"])
    rows = Lot.objects.order_by("on_hand").values_list("shelf", "made_on", "set_aside", "dip_run")
    assert list(rows) == [(shelf.pk, date(2026, 1, 12), 11, ""), (shelf.pk, date(2026, 1, 24), 23, "")]


def test_what_was_saved_after_it_was_pointed_at_is_found():
    lot, shelf = make_lot(), Shelf(code="LATE", walk=1)
    lot.shelf = shelf
    shelf.save()
    update_rows([lot], ["shelf"])
    assert Lot.objects.get().shelf == shelf


def test_constraints_stand(django_assert_num_queries):
    lots = [make_lot(pairs=12), make_lot(pairs=12)]
    lots[1].set_aside = 13
    with pytest.raises(IntegrityError), transaction.atomic():
        update_rows(lots, ["set_aside"])
    with django_assert_num_queries(0):
        update_rows([], ["set_aside"])
