"""VAT rates by date: what invoices were made with stays."""

from datetime import date, timedelta

import pytest

from inventory.domain.versions import fingerprint
from orders.domain.papers import issue_paper
from orders.models import Invoice, InvoiceVat, VatRate
from tests.factories import (
    make_person,
    make_shop,
    make_vat_rates,
)

pytestmark = pytest.mark.django_db
RATES = "/set-up/vat-rates/"
RATE = {"vat_class": "standard", "category": "S", "percent": "21", "since": "2026-04-01"}


@pytest.fixture
def owner(client_for):
    return client_for("owner")


def make_invoice(tax_point: date) -> Invoice:
    shop = make_shop()
    invoice = Invoice.objects.create(
        paper=issue_paper(
            kind="invoice", shop=shop, content={}, issued_on=tax_point, by=make_person(), series="invoice"
        ),
        shop=shop,
        tax_point=tax_point,
        due_on=tax_point + timedelta(days=30),
        vat_rounding="half-up",
        goods=10,
        carriage=0,
        net=10,
        vat=2,
        gross=12,
    )
    InvoiceVat.objects.create(invoice=invoice, category="S", percent=20, taxable=10, carriage=0, vat=2)
    return invoice


def test_a_rate_invoices_were_made_with_stays(owner):
    make_vat_rates()
    make_invoice(date(2026, 11, 3))
    rate = VatRate.objects.get(vat_class="standard")
    seen = owner.get(f"{RATES}{rate.pk}/").context["form"]["seen"].value()
    data = {**RATE, "since": "2011-01-04", "seen": seen}
    for response in (owner.post(f"{RATES}{rate.pk}/", data), owner.post(f"{RATES}{rate.pk}/delete/")):
        assert response.status_code == 422
        assert "The rate since 4 Jan 2011 stays: invoices up to 3 Nov 2026" in response.content.decode()
    rate.refresh_from_db()
    assert rate.percent == 20


def test_a_new_rate_begins_after_the_newest_invoice(owner):
    make_invoice(date(2026, 11, 3))
    early = owner.post(RATES, {**RATE, "since": "2026-11-03"})
    assert early.status_code == 422
    assert list(early.context["form"].errors) == ["since"]
    assert owner.post(RATES, {**RATE, "since": "2026-11-04"}).status_code == 302
    later = VatRate.objects.get(since=date(2026, 11, 4))
    back = {**RATE, "since": "2026-11-01", "seen": fingerprint(later, RATE)}
    assert owner.post(f"{RATES}{later.pk}/", back).status_code == 422
    assert owner.post(f"{RATES}{later.pk}/delete/").status_code == 302


def test_each_class_keeps_a_rate(owner):
    make_vat_rates()
    zero = VatRate.objects.get(vat_class="zero")
    refused = owner.post(f"{RATES}{zero.pk}/delete/")
    assert refused.status_code == 422
    assert "need a rate" in refused.content.decode()
