"""What the demo's shops paid: most in time, some late, a few not at all; and a bank's file that waits to be posted."""

import random
from datetime import date, timedelta
from decimal import Decimal

from config.demo.lots import BATCH, at
from inventory.models import Record
from orders.domain.bank import say_columns, take_in_file
from orders.domain.papers import issue_paper
from orders.domain.payments import take_back
from orders.domain.statements import draft_reminder
from orders.models import BankColumns, Invoice, Payment, PaymentPart, Shop
from orders.money import in_pounds
from orders.queries.debts import debts

PENNY = Decimal("0.01")
# Of twelve shops: how many days after its due day each pays. None: the newest of what is due stays unpaid.
HABITS = (-12, -9, -6, -4, -2, -1, 0, 1, 3, 6, 14, 27)
DISPUTED = 26  # one invoice in so many is paid in part or not at all
SLOW = (31, 58)  # two shops that have not paid what fell due in these days before today


def write_payments(rng: random.Random, today: date, person) -> None:
    """Payments over the past year's invoices, in bulk; then what a bank, a reminder and a bounce leave to look at."""
    shops = list(Shop.objects.order_by("pk"))
    habits = {shop.pk: HABITS[place % len(HABITS)] for place, shop in enumerate(shops)}
    slow = {shop.pk: SLOW[place % len(SLOW)] for place, shop in enumerate(shops[5::17])}
    slow |= {shop.pk: 40 for shop in shops if shop.on_stop}
    rows = Invoice.objects.select_related("paper", "shop").defer("paper__content").order_by("pk")
    payments, parts = [], []
    for invoice in rows:
        on = invoice.due_on + timedelta(days=habits[invoice.shop_id] + rng.randrange(4))
        kept = today - timedelta(days=slow[invoice.shop_id]) if invoice.shop_id in slow else today
        if on >= today - timedelta(days=3) or (invoice.shop_id in slow and invoice.due_on >= kept):
            continue
        amount = invoice.gross
        if rng.randrange(DISPUTED) == 0 and invoice.due_on > today - timedelta(days=110):
            # A quarrel over part of it, or a paper that lies at the bottom of somebody's tray.
            amount = (amount * rng.choice((0, 60, 85)) / 100).quantize(PENNY)
        if amount:
            payments.append(_payment(invoice, amount, on, person))
            parts.append(
                PaymentPart(payment=payments[-1], invoice=invoice, amount=amount, at=payments[-1].at, by=person)
            )
    Payment.objects.bulk_create(payments, batch_size=BATCH)
    PaymentPart.objects.bulk_create(parts, batch_size=BATCH)
    Record.objects.bulk_create([_record(payment, person) for payment in payments], batch_size=BATCH)
    _bounce(payments, parts, today, person)
    _remind(today, person)
    _bank_file(today, person)


def _payment(invoice: Invoice, amount: Decimal, on: date, person) -> Payment:
    on = max(on, invoice.paper.issued_on)
    how = "cheque" if invoice.pk % 19 == 0 else "bank"
    return Payment(
        shop=invoice.shop, currency=invoice.currency, amount=amount, on=on, how=how,
        reference=f"{_payer(invoice.shop)} {invoice.paper.number}", at=at(on, 16), by=person,
    )  # fmt: skip


def _payer(shop: Shop) -> str:
    return shop.name.upper().replace("&", "AND")[:18].strip()


def _record(payment: Payment, person) -> Record:
    what = f"{in_pounds(payment.amount)} {payment.currency} came in on {payment.on:%d.%m.%Y}: {payment.reference}"
    return Record(subject="payment", subject_id=payment.pk, what=what, person=person, at=payment.at)


def _bounce(payments: list[Payment], parts: list[PaymentPart], today: date, person) -> None:
    """The newest cheque came back."""
    cheques = [payment for payment in payments if payment.how == "cheque" and payment.on > today - timedelta(days=40)]
    if cheques:
        newest = max(cheques, key=lambda payment: (payment.on, payment.pk))
        on = min(today, newest.on + timedelta(days=4))
        take_back(payment=newest, kind="bounced", on=on, reason="cheque returned: refer to drawer", by=person)


def _remind(today: date, person) -> None:
    """The shop that has kept us waiting longest was reminded nine days ago."""
    on = today - timedelta(days=9)
    late = [debt for debt in debts(on) if debt.oldest and debt.aged.late > debt.aged.on_account]
    if late:
        shop = late[0].shop
        content = draft_reminder(shop=shop, currency=late[0].currency, today=on)
        issue_paper(kind="reminder", shop=shop, content=content, issued_on=on, by=person, series="reminder")


def _bank_file(today: date, person) -> None:
    """A file of the last days: named in full, in part, two at once, by name alone, by nobody, and bank interest."""
    # The newest debts: what is late stays late.
    owing = [debt for debt in debts(today)[::-1] if debt.currency == "GBP" and debt.papers and not debt.shop.on_stop]
    two = next((debt for debt in owing if len(debt.papers) > 1), None)
    owing = [debt for debt in owing if debt is not two]
    if two is None or len(owing) < 4:
        return
    one, three, four, five = owing[:4]
    pair = two.papers[0].open + two.papers[1].open
    rows = [
        (one, one.papers[0].open, one.papers[0].number),
        (two, pair, f"{two.papers[0].number} {two.papers[1].number}"),
        (three, (three.papers[0].open / 2).quantize(PENNY), f"{three.papers[0].number} PART"),
        (four, four.papers[0].open, ""),
        (five, five.papers[0].open + Decimal("12.50"), five.papers[0].number),
    ]
    text = "Date,Type,Description,Reference,Paid in,Paid out,Balance\n"
    balance = Decimal("18204.11")
    for back, (debt, amount, reference) in enumerate(rows):
        balance += amount
        day = today - timedelta(days=3 - min(back, 2))
        text += f'{day:%d/%m/%Y},BGC,"{_payer(debt.shop)}",{reference},"{amount:,.2f}",,"{balance:,.2f}"\n'
    day = today - timedelta(days=1)
    text += f"{day:%d/%m/%Y},INT,GROSS INTEREST,,4.17,,{balance:,.2f}\n".replace(
        f"{balance:,.2f}", f'"{balance:,.2f}"'
    )
    text += f'{day:%d/%m/%Y},DD,WEXCOMBE GAS,,,212.40,"{balance - 212:,.2f}"\n'
    text += f'{day:%d/%m/%Y},BGC,H M PATTERN,,61.00,,"{balance:,.2f}"\n'
    file = take_in_file(name=f"bank-{today:%Y-%m-%d}.csv", raw=text.encode(), by=person)
    columns = BankColumns(
        name="Workshop account", day="Date", day_order="dmy", money_in="Paid in", money_out="Paid out",
        text="Description", reference="Reference",
    )  # fmt: skip
    say_columns(file=file, columns=columns, by=person)
