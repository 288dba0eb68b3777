"""The load's own tools: forms are read as a browser sends them, and what is missing from the book is noticed."""

import pytest

from inventory.models import Lot, Record
from orders.models import Order
from tests.factories import make_lot, make_order, make_person, make_shop
from tests.load.kept import Kept, unsound, verify
from tests.load.page_forms import forms_on

PAGE = """
<input name="outside" value="x">
<form action="?q=1"><input name="q" value="1"></form>
<form method="post" action="save/"><input type="hidden" name="seal" value="s"><input name="code" value="A">
<input name="code"><input type="checkbox" name="off" value="1"><input type="checkbox" name="on" value="2" checked>
<input type="file" name="f">
<select name="first"><option value="a">A</option><option value="b">B</option></select>
<select name="chosen"><option value="a">A</option><option value="b" selected>B</option></select>
<textarea name="notes">
two
lines</textarea><button name="pressed" value="1">Save</button></form>
"""


def test_a_form_is_read_as_a_browser_would_send_it():
    asked, posted = forms_on(PAGE, "/orders/7/")
    assert (asked.method, asked.action, asked.fields) == ("get", "/orders/7/?q=1", {"q": ["1"]})
    assert (posted.method, posted.action) == ("post", "/orders/7/save/")
    assert posted.fields == {
        "seal": ["s"],
        "code": ["A", ""],
        "on": ["2"],
        "first": ["a"],
        "chosen": ["b"],
        "notes": ["two\nlines"],
    }


@pytest.mark.django_db
def test_what_was_acknowledged_and_is_not_there_is_told():
    order, lot, shop = make_order(), make_lot(pairs=9), make_shop(packer_notes="1")
    Record.objects.create(
        subject="order",
        subject_id=order.pk,
        what="Set aside 12 pairs: all",
        person=make_person(),
        at="2026-11-20T09:00Z",
    )
    there = [
        Kept("moved", lot.pk, {"word": "test", "pairs": 9}),
        Kept("set aside", order.number, {"pairs": 12}),
        Kept("edit", shop.pk),
    ]
    lacking = [
        Kept("moved", lot.pk, {"word": "hand1-2.", "pairs": 9}),
        Kept("set aside", order.number, {"pairs": 1}),
        Kept("edit", shop.pk),
        Kept("cancelled", order.number, {"word": "hand1-3."}),
        Kept("taken", order.number + 1, {"lines": [["IV1", 24]]}),
        Kept("graded", 1, {"firsts": 40}),
        Kept("invoiced", 1, {"deliveries": [1]}),
        Kept("paid", shop.pk, {"word": "hand1-4."}),
        Kept("planned", 1),
    ]
    assert verify(there) == []
    assert len(verify([*there, *lacking])) == len(lacking)


@pytest.mark.django_db
def test_a_book_that_does_not_hold_is_told():
    make_order(), make_order()
    Order.objects.filter(number=Order.objects.order_by("number").first().number).update(number=1)
    Lot.objects.filter(pk=make_lot(pairs=9).pk).update(on_hand=8)
    told = " ".join(unsound())
    assert "order 2 is missing" in told
    assert "8 on hand, movements say 9" in told
