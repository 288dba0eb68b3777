"""Rows the addresses of credit notes, exports and exchange rates are about."""

from datetime import date
from decimal import Decimal

from django.utils import timezone

from orders.domain.credit_draft import Asked
from orders.domain.crediting import issue_credit
from orders.domain.invoicing import issue_invoice
from orders.models import CreditNote, ExchangeRate, Invoice
from tests.factories import make_address, make_order, make_shop
from tests.factories.season import Season
from tests.factories.sent import make_sent


def credit_page_rows(season: Season) -> dict[str, dict]:
    """Kwargs of each address, by its name."""
    exported = make_exported(season.candle, season.by)
    note = make_credited(exported, season.by)
    rate = ExchangeRate.objects.create(currency="EUR", since=date(2026, 1, 1), sterling=Decimal("0.8567"))
    return {
        "credit_note": {"pk": note.pk}, "export_evidence": {"pk": exported.pk},
        "credit_new": {"pk": season.invoice.pk}, "take_back": {"pk": season.gone.pk},
        "exchange_rate": {"pk": rate.pk}, "exchange_rate_delete": {"pk": rate.pk},
    }  # fmt: skip


def make_exported(candle, by) -> Invoice:
    """An invoice of today over goods that went to a shop in Ireland."""
    today = timezone.localdate()
    shop = make_shop(address=False, town="Ballyquill")
    make_address(shop, country="IE", town="Ballyquill", postcode="ZZ9 X0X0")
    delivery = make_sent(make_order(shop, [(candle, 12)], by=by), left_on=today, by=by)
    return issue_invoice(shop=shop, delivery_ids=[delivery.pk], issued_on=today, by=by)


def make_credited(invoice: Invoice, by) -> CreditNote:
    """A credit note of today that takes the invoice off whole."""
    today = timezone.localdate()
    asked = Asked(why="returned", reason="Refused at the door", set_off_on=today)
    return issue_credit(invoice=invoice, asked=asked, issued_on=today, by=by)
