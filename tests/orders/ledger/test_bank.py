"""The bank's files: taken in once, columns said once, lines posted as they were seen."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from orders.domain.bank import post_line_by_hand, post_proposed, put_aside, say_columns, take_in_file, take_up
from orders.domain.payments import post_payment, take_back
from orders.models import BankColumns, BankFile, BankLine, Payment
from orders.queries.bank import bank_files, lines_waiting, proposals
from tests.factories import make_person, make_shop
from tests.orders.ledger.books import key, make_invoice

pytestmark = pytest.mark.django_db

HEAD = "Date,Description,Reference,Amount\n"


@pytest.fixture
def by():
    return make_person("bookkeeper")


def day(back=1):
    on = timezone.localdate() - timedelta(days=back)
    return f"{on:%d/%m/%Y}"


def columns(**fields) -> BankColumns:
    meant = {"name": "Main account", "day": "Date", "text": "Description", "reference": "Reference",
             "amount": "Amount", "day_order": "dmy"}  # fmt: skip
    return BankColumns(**{**meant, **fields})


def take_in(by, *rows, name="november.csv", said=True):
    file = take_in_file(name=name, raw=(HEAD + "".join(f"{row}\n" for row in rows)).encode(), by=by)
    return say_columns(file=file, columns=columns(), by=by) if said and file.columns_id is None else file


def seen(file):
    return {one.pk: one.seen for one in proposals(file.lines.filter(payment=None, aside="").order_by("line"))}


def refused(act, **fields) -> str:
    with pytest.raises(ValidationError) as error:
        act(**fields)
    return " ".join(error.value.messages)


def test_columns_are_said_once_and_known_again(by):
    first = take_in(by, f"{day()},LAMP ROOM,INV-1001,294.00", said=False)
    assert (first.columns, first.lines.count()) == (None, 0)
    say_columns(file=first, columns=columns(), by=by)
    assert [str(line) for line in first.lines.all()] == ["LAMP ROOM INV-1001"]
    second = take_in(by, f"{day()},FERN,INV-1002,9.00", name="later.csv", said=False)
    assert (second.columns.name, second.lines.count()) == ("Main account", 1)


def test_the_same_file_taken_in_again_is_the_same(by):
    rows = [f"{day()},LAMP ROOM,INV-1001,294.00"]
    assert take_in(by, *rows) == take_in(by, *rows, name="again.csv")
    assert (BankFile.objects.count(), BankLine.objects.count()) == (1, 1)


def test_a_line_read_before_is_left_out_and_told(by):
    row = f"{day()},LAMP ROOM,INV-1001,294.00"
    take_in(by, row)
    later = take_in(by, row, f"{day()},FERN,,9.00", name="later.csv")
    assert [str(line) for line in later.lines.all()] == ["FERN"]
    assert later.said[0] == "1 line was read before, with november.csv, and left out."


def test_two_lines_alike_in_one_file_are_both_kept_and_told(by):
    row = f"{day()},LAMP ROOM,,50.00"
    file = take_in(by, row, row)
    assert [line.again for line in file.lines.all()] == [1, 2]
    assert "Line 3 reads the same as one before it" in file.said[0]
    assert take_in(by, row, row, f"{day()},NEW,,1.00", name="b.csv").lines.count() == 1


def test_a_file_with_a_bad_line_leaves_nothing_behind(by):
    file = take_in(by, f"{day()},A,,12.00", "31/02/2026,B,,1.00", said=False)
    assert "Line 3" in refused(say_columns, file=file, columns=columns(), by=by)
    assert not BankColumns.objects.exists()
    assert not BankLine.objects.exists()


def test_a_file_with_a_wrong_separator_is_refused(by):
    raw = HEAD.replace(",", "^").encode() + b"1^2^3^4\n"
    assert "not separated by commas" in refused(take_in_file, name="x.csv", raw=raw, by=by)
    assert "empty" in refused(take_in_file, name="x.csv", raw=b"", by=by)
    assert "too long" in refused(take_in_file, name="x.csv", raw=b"x" * 1_500_001, by=by)
    assert not BankFile.objects.exists()


def test_columns_without_an_amount_are_refused(by):
    file = take_in(by, f"{day()},A,,12.00", said=False)
    assert refused(say_columns, file=file, columns=columns(amount=""), by=by)
    with pytest.raises(IntegrityError), transaction.atomic():
        columns(amount="", header="x").save()


def test_what_is_ticked_is_posted_as_it_was_seen(by):
    shop = make_shop(name="The Lamp Room")
    one, two = make_invoice(shop, "294.00"), make_invoice(shop, "120.00")
    file = take_in(by, f"{day()},FASTER,{one} {two},414.00", f"{day()},INTEREST,,1.20")
    ticked = {pk: digest for pk, digest in seen(file).items() if BankLine.objects.get(pk=pk).amount == 414}
    [payment] = post_proposed(file=file, seen=ticked, by=by)
    assert (payment.shop, payment.amount, payment.reference) == (shop, 414, f"FASTER {one} {two}")
    assert list(payment.parts.values_list("amount", flat=True)) == [294, 120]
    assert [line.text for line in lines_waiting()] == ["INTEREST"]
    assert post_proposed(file=file, seen=ticked, by=by) == []
    assert Payment.objects.count() == 1


def test_what_changed_since_it_was_seen_posts_nothing(by):
    shop = make_shop()
    one = make_invoice(shop)
    file = take_in(by, f"{day()},A,{one},120.00", f"{day()},B,{make_invoice(shop)},120.00")
    ticked = seen(file)
    today, parts = timezone.localdate(), {key(one): Decimal(20)}
    post_payment(shop=shop, amount=Decimal(20), on=today, how="cash", parts=parts, by=by)
    said = refused(post_proposed, file=file, seen=ticked, by=by)
    assert f"Line 2 (A {one}) stands differently by now" in said
    assert lines_waiting().count() == 2


def test_two_lines_never_count_on_the_same_invoice(by):
    shop = make_shop(name="The Lamp Room")
    one = make_invoice(shop)
    file = take_in(by, f"{day(2)},LAMP ROOM,,120.00", f"{day(1)},X,{one},120.00")
    found = {one.line.text: one for one in proposals(file.lines.all())}
    assert found["X"].goes_to == f"120.00 for {one}"
    assert found["LAMP ROOM"].match.on_account == 120
    post_proposed(file=file, seen=seen(file), by=by)
    assert Payment.objects.count() == 2


def test_words_of_a_payer_are_remembered(by):
    shop = make_shop(name="Fern & Flint")
    file = take_in(by, f"{day(3)},FF TRADING,ORDER 9,10.00")
    post_line_by_hand(line=file.lines.get(), shop=shop, parts={}, by=by)
    one = make_invoice(shop, "77.00")
    later = take_in(by, f"{day(1)},FF TRADING,ORDER 10,77.00", name="later.csv")
    [found] = proposals(later.lines.all())
    assert (found.shop, found.goes_to, found.match.sure) == (shop, f"77.00 for {one}", True)


def test_a_line_put_aside_waits_no_more_until_it_is_taken_up(by):
    file = take_in(by, f"{day()},INTEREST,,1.20")
    line = file.lines.get()
    assert "Say why" in refused(put_aside, line=line, reason=" ", by=by)
    put_aside(line=line, reason="interest", by=by)
    assert not lines_waiting().exists()
    assert post_proposed(file=file, seen={line.pk: "x"}, by=by) == []
    assert (bank_files().get().waiting, bank_files().get().aside_lines) == (0, 1)
    take_up(line=line, by=by)
    assert lines_waiting().get() == line


def test_a_line_posted_by_mistake_waits_again_and_a_bounced_one_does_not(by):
    shop = make_shop()
    file = take_in(by, f"{day()},A,,1.00", f"{day()},B,,2.00")
    today = timezone.localdate()
    for line, kind in zip(file.lines.all(), ("mistake", "bounced"), strict=True):
        payment = post_line_by_hand(line=line, shop=shop, parts={}, by=by)
        assert post_line_by_hand(line=line, shop=shop, parts={}, by=by) == payment
        assert "posted already" in refused(put_aside, line=line, reason="x", by=by)
        take_back(payment=payment, kind=kind, on=today, reason="x", by=by)
    assert [line.text for line in lines_waiting()] == ["A"]


def test_the_tables_refuse_the_same_line_twice(by):
    file = take_in(by, f"{day()},A,,1.00")
    line = file.lines.get()
    bare = {"file": file, "line": 9, "on": line.on, "amount": line.amount, "text": line.text}
    for wrong in ({}, {"amount": 0}, {"amount": -3}):
        with pytest.raises(IntegrityError), transaction.atomic():
            BankLine.objects.create(**{**bare, **wrong})
