"""Proposed matches: what is named, what fits by amount, what is oldest; each with its reason."""

from datetime import date
from decimal import Decimal

import pytest

from orders.matching import Book, Money, Owed, adding_up, key_of, match, numbers_in, payer_of, share_out

DAY = date(2026, 11, 20)


def owed(number, amount, shop=1, due=date(2026, 11, 1), prompt=None):
    return Owed(f"i{number[4:]}", number, shop, Decimal(amount), due, prompt)


BOOK = Book(
    owed=(
        owed("INV-1001", "294.00"),
        owed("INV-1002", "120.00", due=date(2026, 11, 5)),
        owed("INV-1003", "77.10", due=date(2026, 11, 9)),
        owed("INV-2001", "500.00", shop=2),
        owed("INV-3001", "120.00", shop=3),
    ),
    settled={("INV", 900): ("INV-900", 2)},
    names={1: "The Lamp Room", 2: "Fern & Flint", 3: "Oak"},
    payers={"FFLINT": 2},
)


def matched(amount, text, on=DAY):
    return match(Money(Decimal(amount), on, text), BOOK)


def parts(found):
    return [(key, str(amount)) for key, amount in found.parts]


def test_a_named_invoice_with_the_right_amount_is_sure():
    found = matched("294.00", "FASTER PAYMENT inv 1001")
    assert (found.shop, parts(found), found.sure) == (1, [("i1001", "294.00")], True)
    assert found.why == "INV-1001 is named, and the amount is right."


def test_several_named_invoices_are_paid_together():
    found = matched("414.00", "INV1001 INV1002")
    assert (parts(found), found.sure) == ([("i1001", "294.00"), ("i1002", "120.00")], True)
    assert found.why == "INV-1001 and INV-1002 are named, and the amount is right."


def test_a_part_payment_leaves_the_rest_open():
    found = matched("100.00", "INV-1001")
    assert (parts(found), found.on_account, found.sure) == ([("i1001", "100.00")], 0, True)
    assert found.why == "INV-1001 is named; 194.00 of it stays open."


def test_an_overpayment_goes_on_account_and_is_looked_at():
    found = matched("300.00", "INV-1001")
    assert (parts(found), str(found.on_account), found.sure) == ([("i1001", "294.00")], "6.00", False)
    assert "6.00 more than that came: it goes on account." in found.why


def test_invoices_of_two_shops_are_not_decided():
    found = matched("794.00", "INV-1001 INV-2001")
    assert (found.shop, found.parts, found.sure) == (None, (), False)
    assert "belong to two shops" in found.why


def test_a_paid_invoice_named_again():
    found = matched("50.00", "INV-900")
    assert (found.shop, found.parts, str(found.on_account)) == (2, (), "50.00")
    assert "nothing of it is open" in found.why


def test_the_shops_name_and_the_only_set_that_adds_up():
    found = matched("371.10", "LAMP ROOM WEXCOMBE")
    assert (parts(found), found.sure) == ([("i1001", "294.00"), ("i1003", "77.10")], True)
    assert found.why == "The Lamp Room stands in the text; of theirs only INV-1001 and INV-1003 add up to it."


def test_the_shops_name_alone_pays_the_oldest_first():
    found = matched("350.00", "THE LAMP ROOM")
    assert parts(found) == [("i1001", "294.00"), ("i1002", "56.00")]
    assert not found.sure
    assert "no set of theirs adds up to it: the oldest first." in found.why


def test_a_payer_known_from_before_is_known_by_the_words():
    found = matched("500.00", "FFLINT LTD 99812")
    assert (found.shop, found.sure) == (2, True)
    assert found.why == "They paid with the same words before; of theirs only INV-2001 is of this amount."
    assert payer_of("FFlint Ltd 99812 x1 INV-1001") == "FFLINT"


def test_a_name_the_bank_cut_off_is_known():
    names = {1: "Gorsewick Ironmongers", 2: "Gorsewick Stores", 3: "Fern & Flint of Orrin Bay"}
    book = Book(owed=(owed("INV-1", "9.00"),), names=names)
    for text, shop in (
        ("GORSEWICK IRONMONG", 1),
        ("GORSEWICK STORES 9", 2),
        ("FERN AND FLINT OF", 3),
        ("GORSE", None),
    ):
        assert match(Money(Decimal("1.00"), DAY, text), book).shop == shop


def test_a_short_name_is_no_sign():
    assert matched("1.00", "OAK").shop is None


def test_the_amount_alone_is_never_sure():
    found = matched("500.00", "SOMEBODY")
    assert (found.shop, parts(found), found.sure) == (2, [("i2001", "500.00")], False)
    two = matched("120.00", "SOMEBODY")
    assert (two.shop, two.parts) == (None, ())
    assert "INV-1002 and INV-3001 are of this amount: choose." in two.why
    assert "choose the shop" in matched("1.23", "SOMEBODY").why


def test_a_shop_that_owes_nothing_gets_it_on_account():
    book = Book(owed=(), names={1: "The Lamp Room"})
    found = match(Money(Decimal("9.00"), DAY, "LAMP ROOM"), book)
    assert (found.shop, str(found.on_account), found.sure) == (1, "9.00", False)
    assert "they owe nothing" in found.why


def test_prompt_payment_in_time_and_too_late():
    book = Book(owed=(owed("INV-1001", "1200.00", prompt=(DAY, Decimal("1080.00"))),))
    found = match(Money(Decimal("1080.00"), DAY, "INV-1001"), book)
    assert (parts(found), found.prompt, found.sure) == ([("i1001", "1080.00")], ("i1001",), True)
    late = match(Money(Decimal("1080.00"), date(2026, 11, 21), "INV-1001"), book)
    assert late.prompt == ()
    assert "120.00 of it stays open" in late.why


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("INV-1001", True), ("inv1001", True), ("Inv. 1001 thanks", True), ("INV 0001001", True), ("INV#1001", True),
        ("INV 990/1001", True), ("INV 990 & 1001", True), ("THANKS INV1001", True),
        ("INV-10012", False), ("XINV-1001", False), ("1001", False), ("INV-100", False), ("", False),
    ],
)  # fmt: skip
def test_a_number_is_known_in_a_text(text, named):
    assert (key_of("INV-1001") in numbers_in(text)) is named


def test_sharing_out_pays_each_as_far_as_it_goes():
    rows, rest = share_out(Decimal("300.00"), BOOK.of_shop(1))
    assert [(key, str(amount)) for key, amount in rows] == [("i1001", "294.00"), ("i1002", "6.00")]
    assert rest == 0
    assert share_out(Decimal("600.00"), BOOK.of_shop(1))[1] == Decimal("108.90")


def test_sets_that_add_up_are_found_small_first():
    rows = BOOK.of_shop(1)
    assert [one.number for one in adding_up(Decimal("491.10"), rows)[0]] == ["INV-1001", "INV-1002", "INV-1003"]
    assert len(adding_up(Decimal("120.00"), [*rows, owed("INV-1009", "120.00")])) == 2
    assert adding_up(Decimal("1.00"), rows) == []
