"""Rows for the addresses of payments, the bank's files, late charges and letters."""

from datetime import timedelta
from decimal import Decimal

from django.utils import timezone

from orders.domain.bank import say_columns, take_in_file
from orders.domain.late import add_late_charge, late_offer
from orders.domain.payments import post_payment
from orders.domain.post import write_letter
from orders.models import BankColumns, BaseRate, Letter
from tests.factories import make_shop
from tests.factories.season import Season
from tests.orders.ledger.books import key, make_invoice


def payment_page_rows(season: Season) -> dict[str, dict]:
    """Kwargs by name: a shop that paid an old invoice in part, a bank's line that waits, a letter that failed."""
    by, shop, today = season.by, make_shop(name="The Slow Lamp"), timezone.localdate()
    late = make_invoice(shop, "1000.00", due=-50)
    offer = late_offer(invoice=late, until=today)
    charge = add_late_charge(
        invoice=late, until=today, policy="exact", with_fixed=True, seen=offer.seen, by=by
    )  # fmt: skip
    make_invoice(shop, "80.00", due=-3)
    paid = post_payment(
        shop=shop, amount=Decimal(150), on=today, how="bank", parts={key(late): Decimal(100)}, by=by
    )  # fmt: skip
    of_shop = ("shop_ledger", "payment_new", "refund_new", "statement_new", "reminder_new")
    of_payment = ("payment", "payment_share", "payment_off", "payment_back")
    rate, of_charge, of_slow, of_paid = ({"pk": row.pk} for row in (BaseRate.objects.first(), charge, shop, paid))
    return {
        **dict.fromkeys(of_shop, of_slow),
        **dict.fromkeys(of_payment, of_paid),
        "late_charge_new": {"pk": make_invoice(shop, "500.00", due=-20).pk},
        **dict.fromkeys(("late_charge", "late_charge_waive"), of_charge),
        **dict.fromkeys(("base_rate", "base_rate_delete"), rate),
        **_bank_rows(by, today),
        **_letter_rows(shop, by),
    }


def _bank_rows(by, today) -> dict[str, dict]:
    head = "Date,Description,Reference,Amount\n"
    day = f"{today - timedelta(days=1):%d/%m/%Y}"
    known = take_in_file(name="known.csv", raw=f"{head}{day},THE SLOW LAMP,,80.00\n".encode(), by=by)
    columns = BankColumns(name="Main", day="Date", text="Description", reference="Reference", amount="Amount")
    say_columns(file=known, columns=columns, by=by)
    new = take_in_file(name="new.csv", raw=f"Day,What,How much\n{day},LAMP,1.00\n".encode(), by=by)
    line = {"pk": known.lines.get().pk}
    return {"bank_file": {"pk": known.pk}, "bank_columns": {"pk": new.pk}, "bank_line": line, "bank_line_aside": line}


def _letter_rows(shop, by) -> dict[str, dict]:
    letter = write_letter(
        key="every page", kind="reminder", shop=shop, to="accounts@slowlamp.example", subject="Reminder",
        body="Please pay.", by=by,
    )  # fmt: skip
    Letter.objects.filter(pk=letter.pk).update(
        state="failed", tries=1, error="The mail server did not answer in time."
    )
    of_letter = {"pk": letter.pk}
    return dict.fromkeys(("letter", "letter_again", "letter_drop"), of_letter)
