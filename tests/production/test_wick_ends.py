"""Wick ends weighed in, filled into bags, sold by the bag, remelted: never more than is there."""

import uuid

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from production.domain.wick_ends import book_wick_ends, wick_ends_there
from production.models import WickEnds
from tests.factories import make_person

pytestmark = pytest.mark.django_db
ABSURD = ["", "0", "-1", "1000000000", "9" * 40, "a dozen", "2.5", "\x00"]


@pytest.fixture
def packer(client_for):
    return client_for("packer")


def book(kind, grams=0, bags=0, **fields):
    return book_wick_ends(kind=kind, grams=grams, bags=bags, by=make_person("dipper"), **fields)


def sent(kind="weighed in", grams="1200", bags="", **fields):
    return {"kind": kind, "grams": grams, "bags": bags, "submission": str(uuid.uuid4()), **fields}


def test_they_come_and_go():
    book("weighed in", 3000)
    book("bagged", 2000, 10)
    book("sold", bags=4)
    book("remelted", 500)
    assert wick_ends_there() == {"grams": 500, "bags": 6}
    assert list(WickEnds.objects.order_by("pk").values_list("grams", "bags")) == [
        (3000, 0),
        (-2000, 10),
        (0, -4),
        (-500, 0),
    ]


@pytest.mark.parametrize(
    ("kind", "amounts", "field"),
    [
        ("bagged", {"grams": 1001, "bags": 2}, "grams"),
        ("remelted", {"grams": 1001}, "grams"),
        ("sold", {"bags": 1}, "bags"),
        ("weighed in", {"grams": 0}, "grams"),
        ("weighed in", {"grams": 500_001}, "grams"),
        ("bagged", {"grams": 100, "bags": 0}, "bags"),
        ("weighed in", {"grams": 1, "note": "x" * 201}, "note"),
        ("eaten", {"grams": 1}, "kind"),
    ],
)
def test_what_cannot_be_is_refused(kind, amounts, field):
    book("weighed in", 1000)
    with pytest.raises(ValidationError) as refusal:
        book(kind, **amounts)
    assert list(refusal.value.message_dict) == [field]
    assert WickEnds.objects.count() == 1


@pytest.mark.parametrize(
    "fields",
    [
        {"kind": "weighed in", "grams": -1},
        {"kind": "weighed in", "grams": 1, "bags": 1},
        {"kind": "bagged", "grams": 5, "bags": 1},
        {"kind": "sold", "bags": 1},
        {"kind": "sold", "grams": -1, "bags": -1},
        {"kind": "remelted", "grams": 1},
    ],
)
def test_the_database_refuses_what_does_not_fit_its_kind(fields):
    with pytest.raises(IntegrityError), transaction.atomic():
        WickEnds.objects.create(person=make_person(), at=timezone.now(), **fields)


def test_rows_cannot_be_changed():
    row = book("weighed in", 100)
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
        WickEnds.objects.filter(pk=row.pk).update(grams=5)


def test_the_page_books_once_however_often_it_is_sent(packer):
    form = sent(note="off the ivory frames")
    for _ in range(2):
        response = packer.post(reverse("wick_ends"), form, follow=True)
        assert "Booked: weighed in, 1,200 g." in response.content.decode()
    assert "No bags" not in response.content.decode()
    assert "0 bags of firelighters stand filled; 1.2 kg of wick ends lie loose." in response.content.decode()
    assert WickEnds.objects.get().person == packer.person


@pytest.mark.parametrize("amount", ABSURD)
@pytest.mark.parametrize("field", ["grams", "bags"])
def test_absurd_amounts_are_refused_beside_their_field(packer, field, amount):
    book("weighed in", 5000)
    form = {**sent("bagged", "100", "1", note="kept"), field: amount}
    response = packer.post(reverse("wick_ends"), form)
    assert response.status_code == 422
    assert response.context["form"][field].errors
    assert 'value="kept"' in response.content.decode()
    assert WickEnds.objects.count() == 1


@pytest.mark.parametrize("fields", [{"kind": "eaten"}, {"submission": "x"}, {"note": "a\x00b"}, {"note": "x" * 201}])
def test_absurd_forms_are_refused(packer, fields):
    assert packer.post(reverse("wick_ends"), sent(**fields)).status_code == 422
    assert not WickEnds.objects.exists()


def test_more_than_is_there_is_refused_beside_its_field(packer):
    response = packer.post(reverse("wick_ends"), sent("sold", "", "3"))
    assert response.context["form"]["bags"].errors == ["Only 0 bags stand filled."]


def test_it_is_no_page_of_the_bookkeepers(client_for):
    assert client_for("bookkeeper").get(reverse("wick_ends")).status_code == 403
    assert client_for("bookkeeper").post(reverse("wick_ends"), sent()).status_code == 403


def test_it_asks_as_often_for_one_row_as_for_thirty(packer, django_assert_max_num_queries):
    def queries():
        with django_assert_max_num_queries(20) as asked:
            packer.get(reverse("wick_ends"))
        return len(asked)

    book("weighed in", 100)
    few = queries()
    for _ in range(30):
        book("weighed in", 100)
    assert queries() == few
