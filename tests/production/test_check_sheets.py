"""The check sheet: what is kept of it, and what it refuses."""

import uuid
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.utils import DatabaseError
from django.utils import timezone

from production.check_points import POINTS, not_ticked
from production.domain.check_sheets import save_check
from production.models import FloorCheck, VatReading
from tests.factories import make_person, make_vat

pytestmark = pytest.mark.django_db
EVERY = [key for key, _ in POINTS["morning"]]


def a_sheet(**changes) -> dict:
    return {
        "part": "morning",
        "ticked": EVERY,
        "vats": {},
        "note": "",
        "tap": uuid.uuid4(),
        "by": make_person("dipper"),
        **changes,
    }


def test_each_part_has_points_with_keys_of_their_own():
    for points in POINTS.values():
        assert len({key for key, _ in points}) == len({words for _, words in points}) == len(points)
    assert not_ticked("morning", EVERY) == []
    assert not_ticked("evening", []) == [words for _, words in POINTS["evening"]]
    with pytest.raises(KeyError):
        not_ticked("noon", [])


def test_a_sheet_in_order_is_kept_with_what_the_vats_stand_at():
    warm, cold = make_vat(), make_vat()
    figures = {
        warm.pk: {"celsius": Decimal("71"), "level_mm": Decimal("40")},
        cold.pk: {"celsius": None, "level_mm": None},
    }
    check = save_check(**a_sheet(vats=figures))
    assert (check.not_in_order, check.day) == ("", timezone.localdate())
    reading = VatReading.objects.get()
    assert (reading.vat, reading.kind, reading.celsius, reading.level_mm) == (warm, "morning", 71, 40)
    warm.refresh_from_db()
    assert warm.level_mm == 40


def test_a_point_left_open_wants_a_word():
    with pytest.raises(ValidationError) as refused:
        save_check(**a_sheet(ticked=EVERY[1:], note="  "))
    assert "note" in refused.value.error_dict
    check = save_check(**a_sheet(ticked=EVERY[1:], note="Gone for its yearly test; borrowed one stands there."))
    assert check.not_in_order == POINTS["morning"][0][1]


def test_a_sheet_sent_twice_is_one():
    sheet = a_sheet(vats={make_vat().pk: {"celsius": Decimal("70"), "level_mm": None}})
    assert save_check(**sheet) == save_check(**sheet)
    assert FloorCheck.objects.count() == VatReading.objects.count() == 1


@pytest.mark.parametrize(
    ("name", "figure"), [("celsius", "251"), ("celsius", "0"), ("level_mm", "-1"), ("level_mm", "481")]
)
def test_a_figure_no_vat_has_is_refused_at_its_field(name, figure):
    vat = make_vat()
    with pytest.raises(ValidationError) as refused:
        save_check(**a_sheet(vats={vat.pk: {name: Decimal(figure)}}))
    assert list(refused.value.error_dict) == [f"vat-{vat.pk}-{name}"]
    assert not FloorCheck.objects.exists()


def test_a_vat_that_cools_in_the_evening_gets_no_word_and_a_hot_one_does():
    vats = {make_vat().pk: {"celsius": Decimal("40")}, make_vat().pk: {"celsius": Decimal("95")}}
    save_check(**a_sheet(part="evening", ticked=[key for key, _ in POINTS["evening"]], vats=vats))
    assert list(VatReading.objects.order_by("pk").values_list("note", flat=True)) == ["", "too hot"]


def test_there_is_no_third_part():
    with pytest.raises(ValidationError):
        save_check(**a_sheet(part="noon"))


def bare(**fields) -> FloorCheck:
    now = timezone.now()
    values = {"day": now.date(), "part": "morning", "person": make_person(), "at": now, "tap": uuid.uuid4(), **fields}
    return FloorCheck.objects.create(**values)


def test_the_database_keeps_a_sheet_as_it_was_written():
    check = bare()
    with pytest.raises(IntegrityError), transaction.atomic():
        bare(not_in_order="The lids are on.")
    with pytest.raises(IntegrityError), transaction.atomic():
        bare(tap=check.tap)
    for spoil in (lambda: FloorCheck.objects.update(note="all well"), check.delete):
        with pytest.raises(DatabaseError), transaction.atomic():
            spoil()
