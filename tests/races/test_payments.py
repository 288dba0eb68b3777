"""Payments posted at once: one bank line is one payment, and nothing is settled above what is open.

Threads on PostgreSQL, where rows are locked; processes on a SQLite file, where one writes at a time.
"""

import json
import sqlite3
from contextlib import closing
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from orders.audit import payments as audit
from orders.domain.bank import post_proposed, say_columns, take_in_file
from orders.domain.payments import free_overpaid, lock_ledger, post_payment, share_payment
from orders.domain.post import send_letter, write_letter
from orders.models import BankColumns, Letter, Payment, PaymentPart
from orders.queries.bank import proposals
from orders.queries.debts import invoices_with_open, payments_with_left
from tests.factories import make_person, make_shop, make_workshop
from tests.orders.ledger.books import key, make_credit, make_invoice
from tests.races.processes import alone, race
from tests.races.threads import second_waits_for_first, together

MANY = 6


def pay(shop, amount, by, invoice=None):
    parts = {key(invoice): Decimal(amount)} if invoice else {}
    return post_payment(
        shop=shop, amount=Decimal(amount), on=timezone.localdate(), how="bank", parts=parts, by=by
    )  # fmt: skip


def take_in(by, *rows):
    raw = "Date,Description,Reference,Amount\n" + "".join(f"{row}\n" for row in rows)
    file = take_in_file(name="x.csv", raw=raw.encode(), by=by)
    columns = BankColumns(name="Main", day="Date", text="Description", reference="Reference", amount="Amount")
    return say_columns(file=file, columns=columns, by=by)


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_the_same_bank_line_posted_at_once_is_one_payment():
    by, shop = make_person("bookkeeper"), make_shop()
    day = timezone.localdate() - timedelta(days=1)
    file = take_in(by, *[f"{day:%d/%m/%Y},LAMP,{make_invoice(shop)},120.00" for _ in range(2)])
    seen = {one.pk: one.seen for one in proposals(file.lines.all())}
    results = together(*[lambda: post_proposed(file=file, seen=seen, by=by)] * MANY)
    assert sorted(len(result) for result in results) == [0] * (MANY - 1) + [2], results
    assert Payment.objects.count() == 2
    assert list(audit.breaches()) == []


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_the_last_of_a_payment_is_given_out_once():
    by, shop = make_person("bookkeeper"), make_shop()
    payment = pay(shop, "100", by)
    aims = [make_invoice(shop) for _ in range(MANY)]
    jobs = [lambda one=one: share_payment(payment=payment, parts={key(one): Decimal(60)}, by=by) for one in aims]
    results = together(*jobs)
    assert sum(result is None for result in results) == 1, results
    assert all(isinstance(result, ValidationError) for result in results if result is not None), results
    assert payments_with_left().get().left == 40
    assert list(audit.breaches()) == []


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_an_invoice_paid_by_many_at_once_is_paid_once():
    by, shop = make_person("bookkeeper"), make_shop()
    invoice = make_invoice(shop)
    results = together(*[lambda: pay(shop, "120", by, invoice)] * MANY)
    assert sum(isinstance(result, Payment) for result in results) == 1, results
    assert (invoices_with_open().get().open, PaymentPart.objects.count()) == (0, 1)


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_a_payment_waits_for_a_credit_and_then_sees_it():
    by, shop = make_person("bookkeeper"), make_shop()
    invoice = make_invoice(shop)

    def credit():
        with transaction.atomic():
            lock_ledger(shop)
            make_credit(invoice, "20.00")
            return free_overpaid(invoice=invoice, by=by)

    freed, late = second_waits_for_first(credit, lambda: pay(shop, "120", by, invoice))
    assert freed == 0
    assert isinstance(late, ValidationError)
    assert invoices_with_open().get().open == 100


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_a_letter_sent_by_many_at_once_goes_once(monkeypatch):
    make_workshop()
    sent = []
    monkeypatch.setattr("django.core.mail.EmailMessage.send", lambda message: sent.append(message) or 1)
    with transaction.atomic():
        letter = write_letter(
            key="k", kind="x", shop=make_shop(), to="a@b.example", subject="s", body="b", by=make_person()
        )
        transaction.on_commit(lambda: None)
        Letter.objects.filter(pk=letter.pk).update(state="dropped")
    Letter.objects.filter(pk=letter.pk).update(state="waiting")
    results = together(*[lambda: send_letter(letter.pk)] * MANY)
    assert (results.count(True), len(sent)) == (1, 1), results


SEED = """
from decimal import Decimal
from django.utils import timezone
from orders.domain.payments import post_payment
from tests.factories import make_person, make_shop
from tests.orders.ledger.books import make_invoice
import json
by, shop = make_person("bookkeeper"), make_shop()
payment = post_payment(shop=shop, amount=Decimal(100), on=timezone.localdate(), how="bank", by=by)
print(json.dumps({"by": by.pk, "payment": payment.pk, "invoices": [make_invoice(shop).pk for _ in range(4)]}))
"""
BEFORE = """
from decimal import Decimal
from django.core.exceptions import ValidationError
from config.models import Person
from orders.domain.payments import share_payment
from orders.models import Payment
"""
SHARE = """
payment, by = Payment.objects.get(pk=book["payment"]), Person.objects.get(pk=book["by"])
for invoice in book["invoices"]:
    try:
        share_payment(payment=payment, parts={f"i{invoice}": Decimal(30)}, by=by)
        print("shared")
    except ValidationError:
        print("refused")
"""


@pytest.mark.sqlite
def test_processes_on_one_sqlite_file_share_a_payment_out_once(file_sqlite):
    book = json.loads(alone(file_sqlite, SEED))
    answers = race(file_sqlite, *[SHARE] * 3, before=f"{BEFORE}book = {book}")
    said = [line for answer in answers for line in answer.splitlines()]
    assert (said.count("shared"), said.count("refused")) == (3, 9)
    with closing(sqlite3.connect(file_sqlite.path)) as kept:
        assert kept.execute("SELECT sum(amount) FROM orders_paymentpart").fetchone() == (90,)
