import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.models import Lot, Movement
from orders.audit import breaches
from orders.domain.returns import Back, take_back
from orders.models import CreditNote, Order, Return, ReturnLine
from production.models import Want
from tests.factories import make_person, make_van_days
from tests.orders.invoices import issue, make_invoiced_shop, sell

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    make_van_days()
    return make_invoiced_shop()


@pytest.fixture
def sent(shop):
    """24 and 12 pairs that left yesterday, invoiced today."""
    today = timezone.localdate()
    _, delivery = sell(shop, 24, 12, left_on=today - timedelta(days=1))
    issue(shop, delivery, issued_on=today)
    return delivery


def back(delivery, *rows, **more):
    """Rows: (line's place, firsts, seconds, broken, fault)."""
    lines = list(delivery.lines.order_by("pk"))
    values = {"reason": "Refused at the door", "came_on": timezone.localdate(), "submission": uuid.uuid4(), **more}
    values.setdefault("by", make_person("packer"))
    return take_back(delivery=delivery, backs=[Back(lines[at].pk, *counts) for at, *counts in rows], **values)


def refused(delivery, *rows, **more) -> str:
    before = Movement.objects.count()
    with pytest.raises(ValidationError) as error, transaction.atomic():
        back(delivery, *rows, **more)
    assert (Movement.objects.count(), CreditNote.objects.count(), Return.objects.count()) == (before, 0, 0)
    return " ".join(error.value.messages)


def moves(lot) -> list[tuple[str, int]]:
    return list(lot.movements.order_by("pk").values_list("kind", "pairs"))[2:]


def sound() -> list[str]:
    """Breaches but those a note written straight into the tables has."""
    return [line for line in breaches() if "packing slip" not in line]


def test_firsts_seconds_and_broken_go_their_ways_and_all_is_credited(sent):
    made = back(sent, (0, 10, 4, 2, "dented"), (1, 0, 0, 12))
    first, second = (line.lot for line in sent.lines.order_by("pk"))
    assert moves(first) == [("returned", 16), ("damaged", -2), ("regraded", -4)]
    assert moves(second) == [("returned", 12), ("damaged", -12)]
    first.refresh_from_db()
    assert (first.on_hand, first.grade) == (10, "firsts")
    worse = Lot.objects.get(grade="seconds")
    assert (worse.on_hand, worse.fault) == (4, "dented")
    # 16 x 4.75 less 5 % = 72.20, 12 x 4.75 less 5 % = 54.15; VAT 25.27
    note = made.note
    assert (note.net, note.vat, note.why, note.reason) == (
        Decimal("126.35"), Decimal("25.27"), "returned", "Refused at the door"
    )  # fmt: skip
    assert made.again is None
    assert sound() == []


def test_broken_in_the_post_is_written_off_credited_and_sent_again(sent):
    made = back(sent, (0, 0, 0, 24), again=True, carriage=Decimal("8.50"))
    assert (made.note.why, made.note.carriage) == ("broken", Decimal("8.50"))
    order = made.again
    assert (order.status, order.carriage, order.shop) == ("confirmed", 0, sent.order.shop)
    [line] = order.lines.all()
    assert (line.pairs, line.price, line.price_from) == (24, Decimal("4.75"), f"as on order {sent.order.number}")
    assert Want.objects.get(order_line=line).pairs == 24
    assert sound() == []


def test_sent_twice_it_came_back_once(sent):
    key = uuid.uuid4()
    made = back(sent, (0, 5), submission=key, again=True)
    assert back(sent, (0, 5), submission=key, again=True) == made
    assert (CreditNote.objects.count(), Order.objects.count()) == (1, 2)


def test_it_comes_back_in_parts_and_never_more_than_left(sent):
    back(sent, (0, 20))
    with pytest.raises(ValidationError, match="at most 4 pairs"):
        back(sent, (0, 5))
    back(sent, (0, 4))
    assert sound() == []


@pytest.mark.parametrize(
    ("row", "more", "says"),
    [
        ((0, 25), {}, "at most 24 pairs"),
        ((0, 30, -6), {}, "at most 24 pairs"),
        ((0, 10**9), {}, "at most 24 pairs"),
        ((0, 0, 3), {}, "what is wrong with them"),
        ((0, 0, 3, 0, "x" * 41), {}, "at most 40"),
        ((0, 0), {}, "how many pairs"),
        ((0, 1), {"reason": " "}, "Say why"),
        ((0, 1), {"reason": "x" * 201}, "at most 200"),
        ((0, 1), {"came_on": timezone.localdate() + timedelta(days=1)}, "has not come yet"),
        ((0, 1), {"came_on": timezone.localdate() - timedelta(days=2)}, "that day or later"),
        ((0, 1), {"carriage": Decimal("9")}, "8.50 is left"),
    ],
)
def test_refuses_and_moves_nothing(sent, row, more, says):
    assert says in refused(sent, row, **more)


def test_refuses_what_has_not_left_what_is_not_invoiced_and_anothers_line(shop, sent):
    _, other = sell(shop, 6)
    assert "not invoiced yet" in refused(other, (0, 1))
    line = other.lines.get()
    with pytest.raises(ValidationError, match="not of this delivery"):
        take_back(
            delivery=sent, backs=[Back(line.pk, 1)], reason="x", came_on=timezone.localdate(), by=make_person(),
            submission=uuid.uuid4(),
        )  # fmt: skip
    type(other).objects.filter(pk=other.pk).update(state="packed")
    assert "has not left" in refused(other, (0, 1))


def test_seconds_come_back_as_seconds(shop):
    _, delivery = sell(shop, 24, grade="seconds")
    issue(shop, delivery)
    assert "they come back as seconds" in refused(delivery, (0, 1))
    back(delivery, (0, 0, 5))
    lot = delivery.lines.get().lot
    assert moves(lot) == [("returned", 5)]


def test_a_refused_sending_again_moves_nothing(sent):
    type(sent.order.shop).objects.filter(pk=sent.order.shop_id).update(active=False)
    assert refused(sent, (0, 5), again=True)


def test_constraints_hold_a_bare_create(sent):
    made = back(sent, (0, 5))
    with pytest.raises(IntegrityError), transaction.atomic():
        ReturnLine.objects.create(back=made, delivery_line=sent.lines.order_by("pk")[1])
    with pytest.raises(IntegrityError), transaction.atomic():
        Return.objects.filter(pk=made.pk).update(reason="another")
