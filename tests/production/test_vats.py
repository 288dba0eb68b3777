"""What is read and done at a vat, and what it must not hold."""

import uuid
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.utils import DatabaseError

from inventory.domain.versions import StaleVersion
from inventory.models import Record
from production.domain.vats import change_over, read_heat, read_level, set_thermostat, top_up
from production.models import Vat, VatReading
from tests.factories import (
    make_candle,
    make_carousel,
    make_colour,
    make_frame,
    make_heat,
    make_person,
    make_recipe,
    make_run,
    make_vat,
    make_vat_reading,
    make_wax,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return make_person("dipper")


def over_to(vat, **changes) -> dict:
    values = {"wax": vat.wax, "colour": vat.colour, "set_c": vat.set_c, "cut_out_c": vat.cut_out_c}
    return {**values, "level_mm": Decimal("30"), "note": "", **changes}


def test_a_heat_is_kept_with_what_is_wrong_about_it(by):
    vat = make_vat(set_c=Decimal("70"))
    make_heat(vat.wax, congeals_c=Decimal("58"), flash_c=Decimal("204"), discolours_c=Decimal("85"))
    told = {
        "70": "",
        "74.9": "",
        "62": "8 K below the thermostat",
        "76": "6 K above the thermostat",
        "58": "set, or setting",
        "86": "above 85 C, where it discolours",
        "90": "too hot",
        "112.5": "past the cut-out at 110 C",
    }
    for celsius, said in told.items():
        assert read_heat(vat=vat, celsius=Decimal(celsius), by=by).note == said
    assert read_heat(vat=vat, celsius=Decimal("62"), by=by, note="lid was off").note.endswith("; lid was off")


@pytest.mark.parametrize("celsius", ["0", "-1", "250.1", "999"])
def test_a_heat_no_vat_can_have_is_refused(by, celsius):
    with pytest.raises(ValidationError) as refused:
        read_heat(vat=make_vat(), celsius=Decimal(celsius), by=by)
    assert "celsius" in refused.value.error_dict
    assert not VatReading.objects.exists()


def test_a_level_read_is_what_the_vat_is_reckoned_from(by):
    vat = make_vat()
    read_level(vat=vat, level_mm=Decimal("61.5"), by=by)
    vat.refresh_from_db()
    assert vat.level_mm == Decimal("61.5")
    assert vat.version == 1
    for wrong in ("-0.1", "480.1"):
        with pytest.raises(ValidationError):
            read_level(vat=vat, level_mm=Decimal(wrong), by=by)


def test_a_top_up_raises_the_level_by_its_mass(by):
    # 0.12 m2 of paraffin at 0.78: 43.2 g are 0.461538 mm (TRADE P10), so 4.68 kg are 50 mm.
    vat = make_vat(length_mm=400, width_mm=300, level_mm=Decimal("80"))
    reading = top_up(vat=vat, kilograms=Decimal("4.68"), by=by)
    vat.refresh_from_db()
    assert vat.level_mm == Decimal("30")
    assert (reading.kind, reading.kilograms, reading.level_mm) == ("top-up", Decimal("4.68"), Decimal("30"))


def test_a_top_up_that_would_run_over_is_refused(by):
    vat = make_vat(length_mm=400, width_mm=300, level_mm=Decimal("80"))
    with pytest.raises(ValidationError) as refused:
        top_up(vat=vat, kilograms=Decimal("7.6"), by=by)
    assert "7.5 kg to the rim" in refused.value.error_dict["kilograms"][0].messages[0]
    top_up(vat=vat, kilograms=Decimal("7.48"), by=by)
    vat.refresh_from_db()
    assert vat.level_mm == Decimal("0.09")


@pytest.mark.parametrize("kilograms", ["0", "-1", "501", "1000000000"])
def test_no_vat_takes_so_much(by, kilograms):
    with pytest.raises(ValidationError):
        top_up(vat=make_vat(level_mm=Decimal("400")), kilograms=Decimal(kilograms), by=by)


def test_one_tap_is_one_reading_however_often_it_is_sent(by):
    vat, taps = make_vat(level_mm=Decimal("90")), [uuid.uuid4() for _ in range(4)]
    for _ in range(2):
        read_heat(vat=vat, celsius=Decimal("70"), by=by, tap=taps[0])
        read_level(vat=vat, level_mm=Decimal("80"), by=by, tap=taps[1])
        top_up(vat=vat, kilograms=Decimal("1"), by=by, tap=taps[2])
        change_over(vat=vat, version=1, values=over_to(vat, colour=make_colour()), by=by, tap=taps[3])
    assert VatReading.objects.count() == 4
    vat.refresh_from_db()
    assert vat.level_mm == 30


def test_the_thermostat_is_turned_within_the_limits(by):
    vat = make_vat(set_c=Decimal("70"))
    for _ in range(2):
        vat = set_thermostat(vat=vat, celsius=Decimal("82"), by=by)
    assert (vat.set_c, vat.version) == (82, 2)
    assert Record.objects.get(subject="vat").what == "Thermostat turned to 82 C, before 70 C"
    for wrong in ("58", "39", "90", "110"):
        with pytest.raises(ValidationError) as refused:
            set_thermostat(vat=vat, celsius=Decimal(wrong), by=by)
        assert list(refused.value.error_dict) == ["set_c"]


def test_a_change_over_is_logged_and_on_record(by):
    vat = make_vat()
    red, before = make_colour(name="Red"), vat.colour.name.lower()
    reading = change_over(vat=vat, version=1, values=over_to(vat, colour=red, note="sieved"), by=by)
    vat.refresh_from_db()
    assert (vat.colour, vat.level_mm, vat.version) == (red, 30, 2)
    assert reading.note == f"{vat.wax} in red, before {vat.wax} in {before}; sieved"
    assert "Changed over to" in Record.objects.get(subject="vat").what


def test_a_change_over_to_the_same_is_none(by):
    vat = make_vat()
    with pytest.raises(ValidationError, match="already"):
        change_over(vat=vat, version=1, values=over_to(vat), by=by)


def test_a_change_over_made_from_an_old_page_is_told(by):
    vat = make_vat()
    set_thermostat(vat=vat, celsius=Decimal("71"), by=by)
    with pytest.raises(StaleVersion):
        change_over(vat=vat, version=1, values=over_to(vat, colour=make_colour()), by=by)


def test_a_wax_without_limits_goes_into_no_vat(by):
    vat = make_vat()
    with pytest.raises(ValidationError, match="may be heated to"):
        change_over(vat=vat, version=1, values=over_to(vat, wax=make_wax()), by=by)


def test_a_wax_that_flashes_too_near_the_cut_out_goes_into_no_vat(by):
    vat, spirit = make_vat(), make_wax()
    make_heat(spirit, flash_c=Decimal("155"))
    with pytest.raises(ValidationError) as refused:
        change_over(vat=vat, version=1, values=over_to(vat, wax=spirit), by=by)
    assert list(refused.value.error_dict) == ["cut_out_c"]
    change_over(vat=vat, version=1, values=over_to(vat, wax=spirit, cut_out_c=Decimal("100")), by=by)


def test_frames_in_the_middle_of_a_stage_keep_the_vat_its_colour(by):
    vat, carousel = make_vat(), make_carousel()
    candle = make_candle()
    make_recipe(candle)
    frame = make_frame(candle, state="hanging", carousel=carousel, dips=4, stage_dips=4)
    run = make_run(carousel, vat)
    values = over_to(vat, colour=make_colour())
    with pytest.raises(ValidationError, match=f"frame {frame.code} is in the middle of a stage"):
        change_over(vat=vat, version=1, values=values, by=by)
    frame.done = True
    frame.save()
    with pytest.raises(ValidationError, match=f"run {run}"):
        change_over(vat=vat, version=1, values=values, by=by)
    run.ended_at = run.started_at
    run.save()
    change_over(vat=vat, version=1, values=values, by=by)


def test_frames_that_can_go_on_elsewhere_let_the_vat_go(by):
    vat = make_vat()
    make_frame(state="hanging", dips=4, stage_dips=4)
    values = over_to(vat, colour=make_colour())
    with pytest.raises(ValidationError, match="middle of a stage"):
        change_over(vat=vat, version=1, values=values, by=by)
    make_vat(active=False)
    with pytest.raises(ValidationError, match="middle of a stage"):
        change_over(vat=vat, version=1, values=values, by=by)
    make_vat()
    change_over(vat=vat, version=1, values=values, by=by)


@pytest.mark.parametrize(
    "wrong",
    [
        {"set_c": Decimal("39")},
        {"set_c": Decimal("90")},
        {"set_c": Decimal("88"), "cut_out_c": Decimal("88")},
        {"cut_out_c": Decimal("111")},
        {"keep_mm": 480},
        {"level_mm": Decimal("-1")},
        {"depth_mm": 49},
        {"length_mm": 0},
        {"width_mm": 0},
    ],
)
def test_the_database_refuses_a_bare_wrong_vat(wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        make_vat(**wrong)


def test_the_database_keeps_names_and_taps_apart():
    make_vat(name="Vat A")
    with pytest.raises(IntegrityError), transaction.atomic():
        make_vat(name="Vat A")
    tap, vat = uuid.uuid4(), Vat.objects.get()
    make_vat_reading(vat, tap=tap)
    with pytest.raises(IntegrityError), transaction.atomic():
        make_vat_reading(vat, tap=tap)


def test_readings_are_append_only():
    reading = make_vat_reading()
    for spoil in (lambda: VatReading.objects.update(celsius=1), reading.delete):
        with pytest.raises(DatabaseError), transaction.atomic():
            spoil()


@pytest.mark.parametrize(
    "wrong",
    [
        {"congeals_c": Decimal("0")},
        {"congeals_c": Decimal("190")},
        {"discolours_c": Decimal("58")},
        {"discolours_c": Decimal("191")},
    ],
)
def test_the_database_refuses_bare_wrong_limits(wrong):
    wax = make_wax()
    with pytest.raises(IntegrityError), transaction.atomic():
        make_heat(wax, **wrong)
