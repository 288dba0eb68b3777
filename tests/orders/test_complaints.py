"""Complaints: tied to a lot a shop was really sent, counted once, followed, closed, and seen among the faults."""

import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from inventory.domain.versions import StaleVersion
from inventory.queries.records import records_of
from orders.domain.complaints import close_complaint, follow_complaint
from orders.models import Complaint
from production.models import FoundLater
from tests.factories import make_candle, make_person, make_shop, make_vat
from tests.factories.complaints import make_complaint
from tests.factories.traced import make_called_shop, make_dipped, make_sent_from

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(client_for):
    return client_for("packer")


@pytest.fixture
def gone():
    """12 pairs of a frame's firsts, sent today."""
    candle = make_candle()
    frame = make_dipped(candle, make_vat(wax=candle.wax, colour=candle.colour))
    return make_sent_from(frame.grading.lot, 12, make_called_shop(name="Quayside"))


def lot_of(gone):
    return gone.lines.get().lot


def form_of(gone, **fields):
    values = {
        "lot": lot_of(gone).code, "shop": gone.order.shop_id, "fault": "drip tail", "pairs": "3",
        "told_on": timezone.localdate().isoformat(), "words": "They drip.", "submission": uuid.uuid4(),
    }  # fmt: skip
    return {**values, **fields}


def text_of(response) -> str:
    return response.content.decode()


def test_a_complaint_is_written_down_once_and_stands_with_its_lot_and_shop(client, gone):
    sent = form_of(gone)
    first, again = (client.post(reverse("complaint_new"), sent) for _ in range(2))
    made = Complaint.objects.get()
    assert first.url == again.url == made.get_absolute_url()
    assert (made.lot, made.shop, made.pairs, made.closed_on) == (lot_of(gone), gone.order.shop, 3, None)
    assert FoundLater.objects.get() == made.found
    said = text_of(client.get(made.get_absolute_url()))
    assert f"3 pairs of {made.lot.code}: drip tail. It is open." in said
    assert "They drip." in said
    assert "Complaint" in records_of("lot", made.lot_id).first().what
    assert "drip tail" in text_of(client.get(reverse("trace_of", args=["lot", made.lot_id])))


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"lot": "F26-9999-99"}, "No lot has the code F26-9999-99."),
        ({"lot": ""}, "This field is required."),
        ({"pairs": "13"}, "was sent 12 pairs of"),
        ({"pairs": "0"}, "greater than or equal to 1"),
        ({"pairs": "9" * 30}, "less than or equal to"),
        ({"pairs": "a few"}, "Enter a whole number."),
        ({"told_on": "2199-01-01"}, "That day has not come yet."),
        ({"told_on": "2001-01-01"}, "that day or later"),
        ({"told_on": "31/31/31"}, "Enter a valid date."),
        ({"fault": " "}, "This field is required."),
        ({"fault": "x" * 41}, "at most 40 characters"),
        ({"words": "x" * 401}, "at most 400 characters"),
        ({"shop": "999999"}, "Select a valid choice"),
    ],
)
def test_what_does_not_fit_is_refused_at_its_field_and_stays_typed(client, gone, fields, said):
    response = client.post(reverse("complaint_new"), form_of(gone, **fields))
    assert response.status_code == 422
    assert said in text_of(response)
    assert "They drip." in text_of(response) or "words" in fields
    assert not Complaint.objects.exists()
    assert not FoundLater.objects.exists()


def test_a_shop_that_never_got_the_lot_is_refused_and_told_who_did(client, gone):
    other = make_shop(name="Ossel Gifts")
    response = client.post(reverse("complaint_new"), form_of(gone, shop=other.pk))
    assert f"Ossel Gifts was never sent pairs of {lot_of(gone).code}. It went to Quayside." in text_of(response)


def test_the_lot_may_be_scanned_off_the_label(client, gone):
    client.post(reverse("complaint_new"), form_of(gone, lot=f"(37)12(10){lot_of(gone).code}"))
    assert Complaint.objects.get().lot == lot_of(gone)


def test_it_is_followed_and_closed_with_what_was_done(client, gone):
    row = make_complaint(gone)
    client.post(reverse("complaint_follow", args=[row.pk]), {"version": 1, "note": "They sent a photograph."})
    assert records_of("complaint", row.pk).first().what == "They sent a photograph."
    answer = {"version": 2, "done": "Two pairs replaced.", "ours": "yes"}
    response = client.post(reverse("complaint_close", args=[row.pk]), answer)
    assert response.url == row.get_absolute_url()
    row.refresh_from_db()
    assert (row.done, row.closed_on, row.closed_by) == ("Two pairs replaced.", timezone.localdate(), client.person)
    assert FoundLater.objects.get().counts
    again = client.post(reverse("complaint_close", args=[row.pk]), {**answer, "done": "Something else."})
    assert (again.status_code, "It was closed on" in text_of(again)) == (422, True)
    assert Complaint.objects.get().done == "Two pairs replaced."


def test_a_follow_up_or_an_end_without_words_is_refused(client, gone):
    row = make_complaint(gone)
    for name, field in (("complaint_follow", "note"), ("complaint_close", "done")):
        response = client.post(reverse(name, args=[row.pk]), {"version": 1, field: "  ", "ours": "no"})
        assert response.status_code == 422
    assert Complaint.objects.get().version == 1


def test_the_second_of_two_people_is_told(gone):
    row = make_complaint(gone)
    follow_complaint(complaint=row, version=1, note="Rang them up.", by=make_person())
    with pytest.raises(StaleVersion):
        close_complaint(complaint=row, version=1, done="Nothing.", ours=True, by=make_person())


def test_it_counts_among_the_faults_until_it_was_none_of_ours(client_for, gone):
    dipper = client_for("dipper")
    assert "Found later" in text_of(dipper.get(reverse("faults")))
    row = make_complaint(gone, fault="smokes", pairs=4)
    shown = text_of(dipper.get(reverse("faults")))
    assert shown.count("smokes") == 1
    close_complaint(complaint=row, version=1, done="Burnt in a draught.", ours=False, by=make_person())
    assert "smokes" not in text_of(dipper.get(reverse("faults")))


def test_open_ones_stand_on_today_and_the_list_narrows(client, gone):
    assert "complaint" not in text_of(client.get(reverse("today")))
    row = make_complaint(gone)
    assert "1 complaint is open; it was told of today." in text_of(client.get(reverse("today")))
    assert row.fault in text_of(client.get(reverse("complaints"), {"stands": "open"}))
    assert "No complaint fits." in text_of(client.get(reverse("complaints"), {"stands": "closed"}))
    assert "drip tail" in text_of(client.get(reverse("complaints_csv")))


def test_the_log_belongs_to_packer_and_bookkeeper(client_for, gone):
    row = make_complaint(gone)
    dipper, bookkeeper = client_for("dipper"), client_for("bookkeeper")
    for name, args in (("complaints", []), ("complaint_new", []), ("complaint", [row.pk])):
        assert dipper.get(reverse(name, args=args)).status_code == 403
        assert bookkeeper.get(reverse(name, args=args)).status_code == 200
    for name in ("complaint_follow", "complaint_close"):
        assert bookkeeper.get(reverse(name, args=[row.pk])).status_code == 405
        assert dipper.post(reverse(name, args=[row.pk])).status_code == 403


def test_the_list_costs_the_same_queries_with_one_row_and_with_thirty(client, gone, django_assert_num_queries):
    make_complaint(gone, pairs=1)
    with django_assert_num_queries(6):
        client.get(reverse("complaints"))
    for _ in range(29):
        make_complaint(gone, pairs=1, fault="bent")
    with django_assert_num_queries(6):
        client.get(reverse("complaints"))


def test_a_closed_complaint_without_words_is_no_row(gone):
    row = make_complaint(gone)
    with pytest.raises(IntegrityError), transaction.atomic():
        Complaint.objects.filter(pk=row.pk).update(closed_on=timezone.localdate(), closed_by=row.made_by)
    with pytest.raises(IntegrityError), transaction.atomic():
        FoundLater.objects.create(lot=row.lot, fault="", pairs=1, day=row.told_on)


def test_the_domain_refuses_too_much_by_itself(gone):
    with pytest.raises(ValidationError, match="was sent 12 pairs"):
        make_complaint(gone, pairs=13)
