"""Where goods go and what VAT they bear.

VAT Notice 703 (goods exported from the UK since 1 January 2021), as its contents and scope are given at
vatupdate.com/2021/11/23/hmrc-guidance-vat-on-goods-exported-from-the-uk-vat-notice-703: from Great Britain to anywhere
outside the UK; from Northern Ireland to places outside the EU only. Northern Ireland and the Isle of Man domestic,
the Channel Islands export, the three months: from memory. Categories and reasons: EN 16931 rules BR-G-10, BR-O-10
(ConnectingEurope/eInvoicing-EN16931, release 1.3.16) with the VATEX codes of OpenPEPPOL/peppol-bis-invoice-3.
"""

from datetime import date

import pytest

from orders.vat_treatment import evidence_due, treatment_of

GB, XI = "GB999999973", "XI999999973"


@pytest.mark.parametrize(
    ("country", "postcode", "kind"),
    [
        ("GB", "ZZ1 1AA", "domestic"),
        ("UK", "ZZ1 1AA", "domestic"),
        ("", "", "domestic"),
        ("GB", "BT1 1AA", "domestic"),
        ("XI", "", "domestic"),
        ("IM", "", "domestic"),
        ("GB", "IM1 1AA", "domestic"),
        ("GB", "JE2 1AA", "export"),
        ("GB", "gy1 1aa", "export"),
        ("JE", "", "export"),
        ("GG", "", "export"),
        ("IE", "D01", "export"),
        ("FR", "75001", "export"),
        ("NO", "0150", "export"),
        ("US", "", "export"),
        # A postcode of another country that happens to begin like an island's.
        ("IE", "IM1", "export"),
    ],
)
def test_by_place(country, postcode, kind):
    assert treatment_of(GB, country, postcode).kind == kind


def test_an_export_bears_no_vat_and_says_why():
    found = treatment_of(GB, "FR", "75001")
    assert (found.rate.category, found.rate.percent, found.code) == ("G", 0, "VATEX-EU-G")
    assert found.reason


def test_at_home_the_candles_own_rate_holds():
    assert treatment_of(GB, "GB", "BT1 1AA").rate is None


def test_who_is_not_registered_charges_none_anywhere():
    for country in ("GB", "FR", "US"):
        found = treatment_of("", country)
        assert (found.kind, found.rate.category, found.code) == ("no vat", "O", "VATEX-EU-O")


def test_from_northern_ireland():
    assert treatment_of(XI, "GB", "ZZ1 1AA").kind == "domestic"
    assert treatment_of(XI, "NO").kind == "export"
    with pytest.raises(ValueError, match="intra-community"):
        treatment_of(XI, "IE")


@pytest.mark.parametrize(
    ("tax_point", "due"),
    [
        (date(2026, 6, 1), date(2026, 9, 1)),
        (date(2026, 11, 25), date(2027, 2, 25)),
        (date(2026, 11, 30), date(2027, 2, 28)),
        (date(2027, 11, 30), date(2028, 2, 29)),
        (date(2026, 5, 31), date(2026, 8, 31)),
        (date(2026, 3, 31), date(2026, 6, 30)),
    ],
)
def test_evidence_is_due_three_months_on(tax_point, due):
    assert evidence_due(tax_point) == due
