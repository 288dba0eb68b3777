"""Pro formas and deposits: papers over an order before its goods leave."""

import uuid
from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from orders.audit import invoices as audit
from orders.audit import papers as paper_audit
from orders.domain.before_sending import deposit_figures, issue_deposit, issue_pro_forma
from orders.domain.credit_draft import Asked
from orders.domain.crediting import issue_credit
from orders.domain.order_draft import draft_deposit
from orders.models import Invoice, Order, ProForma, VatRate
from orders.queries.deposits import deposits_left
from tests.factories import make_candle, make_order, make_person
from tests.factories.sent import make_sent
from tests.orders.invoices import TODAY, issue, make_invoiced_shop

pytestmark = pytest.mark.django_db
CAME = date(2026, 11, 21)


@pytest.fixture
def order():
    """10 x 10.00 at 20 % and 5 x 10.00 at nought, less 5 %: goods 142.50, carriage 8.50, VAT 20.13 (on 100.67)."""
    candles = make_candle(trade_price=Decimal("10")), make_candle(trade_price=Decimal("10"), vat_class="zero")
    return make_order(make_invoiced_shop(), list(zip(candles, (10, 5), strict=True)), reference="XM-0713")


def deposit(order, received, received_on=CAME, issued_on=TODAY, **more):
    return issue_deposit(
        order=order,
        received=Decimal(received),
        received_on=received_on,
        issued_on=issued_on,
        by=make_person("bookkeeper"),
        **more,
    )


def refusal(order, received="10", **more) -> str:
    with pytest.raises(ValidationError) as refused:
        deposit(order, received, **more)
    assert not Invoice.objects.exists()
    return " ".join(refused.value.messages)


def deposit_left(order) -> Decimal:
    """Net of what was invoiced as deposit on the order and is not yet taken off an invoice over goods."""
    return sum(net for _, left in deposits_left([order]) for net in left.values())


def test_a_pro_forma_asks_and_is_no_vat_invoice(order):
    made = issue_pro_forma(order=order, issued_on=TODAY, by=make_person())
    content = made.paper.content
    assert (content["title"], content["number"], content["kind"]) == ("Pro forma invoice", "PF-1001", "pro forma")
    assert (content["tax_point"], content["vat_invoice"]) == ("", False)
    assert "This is not a VAT invoice" in content["notes"][0]
    assert content["terms"] == "Please pay £171.13 before we send. Goods leave when it has arrived."
    assert (made.gross, content["totals"]["due"]) == (Decimal("171.13"), "171.13")
    assert not Invoice.objects.exists()
    assert list(paper_audit.breaches()) == []


def test_a_pro_forma_sent_twice_is_one_and_covers_what_is_to_come(order):
    key, by = uuid.uuid4(), make_person()
    make_sent(order, 10)
    one = issue_pro_forma(order=order, issued_on=TODAY, by=by, submission=key)
    assert issue_pro_forma(order=order, issued_on=TODAY, by=by, submission=key) == one
    assert [line["pairs"] for line in one.paper.content["deliveries"][0]["lines"]] == [5]
    make_sent(Order.objects.get(pk=order.pk))
    with pytest.raises(ValidationError, match="nothing that is still to be sent"):
        issue_pro_forma(order=Order.objects.get(pk=order.pk), issued_on=TODAY, by=by)
    assert ProForma.objects.count() == 1


def test_a_deposit_makes_a_tax_point_to_its_amount_and_the_invoice_takes_it_off(order):
    first = deposit(order, "68.45")
    assert (first.tax_point, first.gross, first.kind) == (CAME, Decimal("68.45"), "deposit")
    # 40 % of 171.13: 48.32 of it at 20 % holds 8.05 VAT; 20.13 bears none.
    assert {row.category: (row.taxable, row.vat) for row in first.vat_rows.all()} == {
        "S": (Decimal("40.27"), Decimal("8.05")),
        "Z": (Decimal("20.13"), Decimal("0.00")),
    }
    content = first.paper.content
    assert (content["title"], content["tax_point"]) == ("VAT invoice of a deposit", "21 November 2026")
    assert content["deliveries"][0]["lines"][0]["unit"] == "C62"
    rest = issue(order.shop, make_sent(order))
    assert (rest.tax_point, rest.deposits) == (TODAY, Decimal("60.40"))
    # What was taxed then and what is taxed now come to what the whole would have been.
    assert first.net + rest.net == Decimal("151.00")
    assert first.vat + rest.vat == Decimal("20.13")
    assert [part["kind"] for part in rest.paper.content["allowances"]] == ["deposit", "deposit"]
    assert rest.paper.content["preceding"][0]["number"] == first.paper.number
    assert deposit_left(order) == 0
    assert list(audit.breaches()) == []


def test_a_deposit_goes_over_part_deliveries_until_it_is_used(order):
    deposit(order, "150.00")
    one = issue(order.shop, make_sent(order, 0, 5))
    # 47.50 and all the carriage, zero rated here, less the zero rated part of the deposit, 44.11.
    assert (one.deposits, one.gross) == (Decimal("44.11"), Decimal("11.89"))
    two = issue(order.shop, make_sent(order))
    # 95.00 less 88.24, which is 105.89 of the deposit without its VAT.
    assert (two.deposits, two.gross) == (Decimal("88.24"), Decimal("8.11"))
    assert one.gross + two.gross + Decimal("150.00") == Decimal("151.00") + Decimal("19.00")
    assert deposit_left(order) == 0
    assert list(audit.breaches()) == []


def test_where_the_deposit_covers_all_nothing_is_left_to_pay(order):
    deposit(order, "171.13")
    rest = issue(order.shop, make_sent(order))
    assert (rest.net, rest.gross) == (0, 0)
    assert rest.paper.content["terms"] == "Nothing is left to pay: the deposit covers it."
    assert list(audit.breaches()) == []


def test_a_deposit_of_a_rate_since_changed_comes_off_the_new_one(order):
    first = deposit(order, "68.45")
    VatRate.objects.create(vat_class="standard", category="S", percent=Decimal("17.5"), since=date(2026, 11, 24))
    rest = issue(order.shop, make_sent(order))
    assert rest.deposits == first.net
    assert {str(row.percent) for row in rest.vat_rows.all()} == {"17.50", "0.00"}
    assert list(audit.breaches()) == []


def test_a_credited_deposit_is_not_taken_off_again(order):
    first = deposit(order, "68.45")
    asked = Asked(why="mistake", reason="Paid back", set_off_on=TODAY)
    issue_credit(invoice=first, asked=asked, issued_on=TODAY, by=make_person())
    assert deposit_left(order) == 0
    assert issue(order.shop, make_sent(order)).deposits == 0


def test_asked_twice_at_once_the_second_finds_it_changed(order):
    draft = draft_deposit(order=order, received=Decimal("50"), received_on=CAME, issued_on=TODAY)
    seen = deposit_figures(draft)
    deposit(order, "50", seen=seen)
    with pytest.raises(ValidationError, match="changed while you looked"):
        deposit(order, "50", seen=seen)
    assert Invoice.objects.count() == 1


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"received": "0"}, "Above nought, and at most 171.13"),
        ({"received": "-5"}, "Above nought"),
        ({"received": "171.14"}, "at most 171.13"),
        ({"received": "1000000000"}, "at most 171.13"),
        ({"received_on": date(2026, 11, 26)}, "has not come yet"),
        ({"received_on": date(2026, 11, 19)}, "The order is of 20 November 2026"),
    ],
)
def test_refuses_and_says_why(order, fields, says):
    assert says in refusal(order, **fields)
