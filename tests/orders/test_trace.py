"""The trace: from any code back to what it was made of and on to whoever has it; the recall sheet."""

import csv
import io
import re
import uuid
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from inventory.domain.lots import regrade_pairs
from orders.domain.invoicing import issue_invoice
from orders.domain.returns import Back, take_back
from orders.models import BoxUse, SecondsBox
from orders.queries.trace import gone_of_lots, kept_of
from orders.queries.trace_subjects import traced
from production.models import FrameUse
from production.queries.trace import frames_of_lots, made_of
from tests.factories import (
    make_box_kind,
    make_candle,
    make_frame,
    make_lot,
    make_person,
    make_run,
    make_vat,
    make_vat_reading,
)
from tests.factories.materials import make_material, make_material_lot
from tests.factories.traced import make_called_shop, make_dipped, make_remelt, make_sent_from, make_use

pytestmark = pytest.mark.django_db


@pytest.fixture
def candle():
    return make_candle()


@pytest.fixture
def vat(candle):
    return make_vat(wax=candle.wax, colour=candle.colour)


@pytest.fixture
def wax(candle):
    """A lot of wax, come thirty days ago."""
    return make_material_lot(make_material(), 500_000, days_ago=30, code="M-WAX", supplier_lot="SW/77")


def later_wax(wax):
    return make_material_lot(wax.material, 500_000, days_ago=3)


def page(client, kind, row):
    response = client.get(reverse("trace_of", args=[kind, row.pk]))
    assert response.status_code == 200
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


def file_of(client, kind, row) -> list[dict]:
    text = client.get(reverse("recall_csv", args=[kind, row.pk])).content.decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


def test_a_recall_from_a_lot_of_wax_lists_exactly_the_deliveries_of_its_frames(candle, vat, wax, client_for):
    first, second = (make_dipped(candle, vat, wax, days_ago=day) for day in (20, 18))
    make_vat_reading(vat, kind="change-over", at=timezone.now() - timedelta(days=15))
    other = make_dipped(candle, vat, later_wax(wax), days_ago=10)
    notes = [make_sent_from(frame.grading.lot, 12).note.number for frame in (first, second)]
    make_sent_from(other.grading.lot, 12)
    found = traced("material", wax.pk)
    assert (found.frames, found.ways) == ({first.pk, second.pk}, {})
    assert sorted(row.note for row in gone_of_lots(found.lots)) == notes
    rows = file_of(client_for("packer"), "material", wax)
    assert [row["Delivery note"] for row in rows if row["Delivery note"]] == notes
    assert {row["Telephone"] for row in rows if row["Delivery note"]} == {"01632 960123"}


def test_what_hung_over_the_vat_afterwards_may_hold_traces_and_stands_apart(candle, vat, wax, client_for):
    held = make_dipped(candle, vat, wax, days_ago=20)
    mate = make_dipped(candle, vat, later_wax(wax), days_ago=10)
    gone = make_sent_from(mate.grading.lot, 12)
    assert traced("material", wax.pk).ways == {mate.pk: "vat"}
    client = client_for("packer")
    text = page(client, "material", wax)
    assert "Material lot M-WAX: nothing of it has left the house; 40 pairs lie here." in text
    assert "1 more frame may hold traces of it: 1 hung over the same vat before its next change-over." in text
    assert "28 pairs of them lie here." in text
    rows = file_of(client, "material", wax)
    said = [(row["Lot"], row["Delivery note"], row["Pairs sent"], row["Why it is listed"]) for row in rows]
    held_lot, lot, way = (
        held.grading.lot.code,
        mate.grading.lot.code,
        "hung over the same vat before its next change-over",
    )
    assert said == [
        (lot, gone.note.number, "12", f"may hold traces: {way}"),
        (held_lot, "", "40", "here, no shelf"),
        (lot, "", "28", f"may hold traces: {way}; here, no shelf"),
    ]


def test_wick_is_in_its_frames_only(candle, vat, wax):
    wick = make_material_lot(make_material("wick"), 90_000)
    held = make_dipped(candle, vat, wick, days_ago=20)
    make_dipped(candle, vat, wax, days_ago=10)
    found = traced("material", wick.pk)
    assert (found.frames, found.ways) == ({held.pk}, {})


def test_a_frame_that_drew_the_wax_of_no_known_lot_may_hold_it(candle, vat, wax):
    make_dipped(candle, vat, wax, days_ago=20)
    frame = make_frame(candle, state="off")
    make_use(frame, None, material=wax.material)
    before = make_frame(candle, state="off")
    make_use(before, None, material=wax.material, at=timezone.now() - timedelta(days=40))
    assert traced("material", wax.pk).ways == {frame.pk: "unknown"}


def test_remelt_carries_the_wax_on_and_shows_where_it_came_from(candle, vat, wax):
    held = make_dipped(candle, vat, wax, days_ago=20, firsts=40)
    tub = make_material(remelt_of=candle.wax, remelt_colour=candle.colour)
    melted = make_remelt(candle, tub).lot
    make_vat_reading(vat, kind="change-over", at=timezone.now() - timedelta(days=15))
    again = make_dipped(candle, vat, days_ago=0.1)  # draws our own remelt before all else
    found = traced("material", wax.pk)
    assert (found.frames, found.ways) == ({held.pk}, {again.pk: "remelt"})
    rows = {row.lot.code: row.amount for row in made_of([again.pk])}
    assert rows == {melted.code: 5_000, "M-WAX": None}


def test_boxes_are_traced_by_the_lot_of_the_box_itself(candle, vat):
    lots = [make_dipped(candle, vat, days_ago=day).grading.lot for day in (9, 8)]
    inside, outside = (make_sent_from(lot, 12) for lot in lots)
    cartons = make_material_lot(make_material("box"), 50)
    BoxUse.objects.all().delete()
    BoxUse.objects.create(box=inside.boxes.get(), material=cartons.material, amount=1)
    boxed = BoxUse.objects.create(
        box=outside.boxes.get(), material=cartons.material, lot=cartons, amount=1, movement=cartons.movements.get()
    )
    from orders.queries.trace import gone_in_boxes

    assert [row.note for row in gone_in_boxes(traced("material", cartons.pk).boxes)] == [
        boxed.box.delivery.note.number
    ]


def test_a_box_code_leads_to_frame_run_vat_people_materials_and_all_other_shops(candle, vat, wax, client_for):
    wick = make_material_lot(make_material("wick", name="Flat braid"), 90_000)
    frame = make_dipped(candle, vat, wax, wick)
    lot = frame.grading.lot
    box = make_sent_from(lot, 12, make_called_shop(name="Fern & Flint")).boxes.get()
    other = make_sent_from(lot, 6, make_called_shop(name="Quayside"))
    client = client_for("packer")
    response = client.get(reverse("trace"), {"q": box.slip.number.lower()})
    assert response.url == reverse("trace_of", args=["box", box.pk])
    text = page(client, "box", box)
    assert f"The lot of box {box.slip.number}: 18 pairs went to 2 shops on 2 deliveries; 22 are here." in text
    run = frame.runs.get().run
    said = (
        frame.code, run.code, vat.name, str(run.started_by), str(frame.threaded_by), str(frame.grading.person),
        "M-WAX", "SW/77", "Flat braid", wick.code, other.note.number, "Fern &amp; Flint", "Quayside", "01632 960123",
    )  # fmt: skip
    assert [word for word in said if word not in text] == []


def test_seconds_made_of_a_lot_later_belong_to_it_and_lead_back_to_its_frame(candle, vat, wax):
    frame = make_dipped(candle, vat, wax, seconds=3)
    lot = frame.grading.lot
    bent = regrade_pairs(lot=lot, pairs=5, fault="bent", reason="Fell.", by=make_person())
    make_sent_from(bent, 5)
    assert [row.lot for row in gone_of_lots(traced("lot", lot.pk).lots)] == [bent.code]
    assert traced("material", wax.pk).lots == {lot.pk, bent.pk, frame.grading.faults.get().lot_id}
    assert frames_of_lots([bent.pk]) == {bent.pk: frame.pk}


def test_what_is_packed_or_promised_is_here_and_is_to_be_kept_back(candle, vat):
    lot = make_dipped(candle, vat).grading.lot
    packed = make_sent_from(lot, 12, left=False)
    (row,) = kept_of([lot.pk])
    assert (row.pairs, gone_of_lots([lot.pk])) == (40, [])
    assert row.promised == (
        f"12 for order {packed.order.number}, {packed.order.shop}, 12 of them in boxes: take them out"
    )


def test_what_came_back_is_not_with_the_shop_any_more(candle, vat, client_for):
    lot, by, today = make_dipped(candle, vat).grading.lot, make_person(), timezone.localdate()
    gone = make_sent_from(lot, 12, by=by)
    issue_invoice(shop=gone.order.shop, delivery_ids=[gone.pk], issued_on=today, by=by)
    back = Back(gone.lines.get().pk, firsts=3, broken=1)
    take_back(delivery=gone, backs=[back], reason="Too many.", came_on=today, by=by, submission=uuid.uuid4())
    said = f"Lot {lot.code}: 12 pairs went to 1 shop on 1 delivery, 4 of them came back; 31 are here."
    assert said in page(client_for("packer"), "lot", lot)


def test_frames_on_the_floor_are_named(candle, client_for):
    wick = make_material_lot(make_material("wick"), 90_000)
    frame = make_frame(candle, state="hanging")
    make_use(frame, wick)
    assert "1 frame of it is on the floor" in page(client_for("dipper"), "material", wick)


def test_a_lot_that_was_counted_in_says_so(client_for):
    lot = make_lot()
    assert "No frame on the book: these pairs were counted in." in page(client_for("packer"), "lot", lot)


def test_a_box_of_seconds_is_traced_by_its_lots(candle, vat, client_for):
    lot = make_dipped(candle, vat, seconds=4).grading.faults.get().lot
    box = SecondsBox.objects.create(
        code="SB-7", sold_by="count", weight_g=400, made_up_on=timezone.localdate(), made_up_by=make_person(),
        submission=uuid.uuid4(), kind=make_box_kind(),
    )  # fmt: skip
    box.contents.create(lot=lot, pairs=3)
    text = page(client_for("packer"), "seconds-box", box)
    assert "The lot of the box of seconds SB-7: nothing of it has left the house; 4 pairs lie here." in text
    assert "3 in the box SB-7 on the seconds shelf" in text


def test_the_recall_sheet_says_whom_to_ring_up_and_what_they_have(candle, vat, wax, client_for):
    lot = make_dipped(candle, vat, wax).grading.lot
    gone = make_sent_from(lot, 12, make_called_shop(name="Fern & Flint"))
    response = client_for("bookkeeper").get(reverse("recall_pdf", args=["material", wax.pk]))
    text = " ".join(sheet.extract_text() for sheet in PdfReader(io.BytesIO(response.content)).pages)
    said = ("Fern & Flint", "Della Finch (orders), 01632 960123", gone.note.number, lot.code, "28", "Rung up on")
    assert [word for word in said if word not in text] == []


def test_the_dipper_sees_where_it_went_and_rings_nobody_up(candle, vat, wax, client_for):
    lot = make_dipped(candle, vat, wax).grading.lot
    make_sent_from(lot, 12, make_called_shop(name="Quayside"))
    dipper = client_for("dipper")
    text = page(dipper, "lot", lot)
    assert ("Quayside" in text, "01632 960123" in text, "Recall sheet" in text) == (True, False, False)
    assert dipper.get(reverse("recall_pdf", args=["lot", lot.pk])).status_code == 403
    assert client_for("packer").post(reverse("recall_csv", args=["lot", lot.pk])).status_code == 405


def test_a_name_that_begins_as_a_formula_is_harmless_in_the_file(candle, vat, client_for):
    lot = make_dipped(candle, vat).grading.lot
    make_sent_from(lot, 12, make_called_shop(name="=SUM(A1)"))
    assert file_of(client_for("packer"), "lot", lot)[0]["Shop"].startswith("'=SUM(A1)")


def test_pages_cost_the_same_queries_for_one_delivery_and_for_many(
    candle, vat, wax, client_for, django_assert_max_num_queries
):
    client, by = client_for("packer"), make_person()
    frames = [make_dipped(candle, vat, wax, days_ago=9)]
    frames[0].runs.get().run.frames.create(frame=make_dipped(candle, vat, days_ago=9), dips=2)
    make_sent_from(frames[0].grading.lot, 6, by=by)
    addresses = [reverse(name, args=["material", wax.pk]) for name in ("trace_of", "recall_csv")]
    addresses.append(reverse("trace_of", args=["run", frames[0].runs.get().run_id]))
    once = [count(client, address, django_assert_max_num_queries) for address in addresses]
    for n in range(5):
        frames.append(make_dipped(candle, vat, wax, days_ago=8 - n))
        run = frames[0].runs.get().run
        run.frames.create(frame=frames[-1], dips=2)
        for _ in range(3):
            make_sent_from(frames[-1].grading.lot, 6, by=by)
    assert FrameUse.objects.count() == 6
    assert [count(client, address, django_assert_max_num_queries) for address in addresses] == once
    assert max(once) <= 40


def count(client, address, counting) -> int:
    with counting(60) as asked:
        assert client.get(address).status_code == 200
    return len(asked)


def test_a_run_still_on_is_traced(candle, vat, client_for):
    run = make_run(vat=vat, frames=[make_frame(candle, state="hanging", dips=3)])
    assert "1 frame of it is on the floor" in page(client_for("dipper"), "run", run)
