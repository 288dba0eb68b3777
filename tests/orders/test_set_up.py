from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from config.roles import ROLES
from inventory.domain.versions import fingerprint
from inventory.models import Record, Workshop
from orders.domain import set_up
from orders.models import Box, BoxKind, Delivery, Invoice, InvoiceVat, Paper, Series, VanDay, VatRate
from tests.factories import (
    make_box_kind,
    make_colour,
    make_order,
    make_person,
    make_shop,
    make_van_days,
    make_vat_rates,
    make_wax,
    make_workshop,
)

pytestmark = pytest.mark.django_db
SET_UP, NUMBERS = "/set-up/", "/set-up/numbers/"
BOXES, VAN_DAYS, RATES = (f"/set-up/{name}/" for name in ("box-kinds", "van-days", "vat-rates"))
BOX = {
    "name": "Long box",
    "length_mm": "420",
    "width_mm": "300",
    "height_mm": "200",
    "tare_g": "300",
    "limit_g": "15000",
    "active": "on",
}
DAY = {"weekday": "2", "note": "coast road"}
RATE = {"vat_class": "standard", "category": "S", "percent": "21", "since": "2026-04-01"}


@pytest.fixture
def owner(client_for):
    return client_for("owner")


def told() -> list[str]:
    return [row.what for row in Record.objects.filter(subject="workshop", subject_id=1).order_by("pk")]


def make_rate(**fields):
    values = {"vat_class": "reduced", "category": "S", "percent": Decimal("6"), "since": date(2026, 5, 1)}
    return VatRate.objects.create(**{**values, **fields})


def make_day(**fields):
    return VanDay.objects.create(**{"weekday": 4, **fields})


LISTS = {"box": (BOXES, BOX, make_box_kind), "day": (VAN_DAYS, DAY, make_day), "rate": (RATES, RATE, make_rate)}


def make_paper(kind: str, running: int, shop=None) -> Paper:
    """A paper straight into the table, as if it had been issued."""
    return Paper.objects.create(
        kind=kind,
        number=f"{kind}-{running}",
        running=running,
        shop=shop or make_shop(),
        content={},
        content_sha256="0" * 64,
        issued_on=timezone.localdate(),
        issued_at=timezone.now(),
        issued_by=make_person(),
    )


def make_invoice(tax_point: date) -> Invoice:
    shop = make_shop()
    invoice = Invoice.objects.create(
        paper=make_paper("invoice", 1001, shop),
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


def test_the_first_line_says_what_is_missing_until_nothing_is(owner):
    def headline():
        return owner.get(SET_UP).context["headline"]

    ending = "missing before the first paper can be printed."
    assert headline() == (f"The workshop's name, bank details, a wax, a colour, a box kind and a van day are {ending}")
    make_wax()
    make_colour()
    make_workshop(bank_name="", account_name="", sort_code="", account_number="")
    make_van_days(1)
    assert headline() == f"Bank details and a box kind are {ending}"
    make_box_kind(active=False)
    make_workshop()
    assert headline() == f"A box kind is {ending}"
    make_box_kind()
    assert headline() == "All set: papers can be printed."
    VatRate.objects.filter(vat_class="standard").update(since=timezone.localdate() + timedelta(days=1))
    assert headline() == f"A standard VAT rate is {ending}"


def test_bank_details_alone_are_missing(owner):
    make_wax(), make_colour(), make_box_kind(), make_van_days(1)
    make_workshop(bank_name="", account_name="", sort_code="", account_number="")
    assert owner.get(SET_UP).context["headline"].startswith("Bank details are missing")


def test_the_index_leads_to_each_part_and_tells_who_changed_what(owner):
    make_workshop()
    owner.post(BOXES, BOX)
    page = owner.get(SET_UP).content.decode()
    for part in ("workshop", "waxes", "colours", "shelves", "box-kinds", "van-days", "vat-rates", "numbers", "people"):
        assert f'href="/set-up/{part}/"' in page
    assert "Box kind Long box added" in page
    assert owner.person.full_name in page


def pages() -> list[str]:
    rows = {address: make() for address, _, make in LISTS.values()}
    series = Series.objects.first()
    return [SET_UP, NUMBERS, f"{NUMBERS}{series.pk}/", *rows, *(f"{at}{row.pk}/" for at, row in rows.items())]


@pytest.mark.parametrize("role", ROLES)
def test_only_owners_come_in(client_for, role):
    client = client_for(role)
    status = 200 if role == "owner" else 403
    for page in pages():
        assert client.get(page).status_code == status, page


def test_nobody_else_changes_anything(client_for):
    rows = [make() for _, _, make in LISTS.values()]
    before = [list(model.objects.values()) for model in (BoxKind, VanDay, VatRate, Series)]
    for role in ROLES[1:]:
        client = client_for(role)
        for (address, data, _), row in zip(LISTS.values(), rows, strict=True):
            for page in (address, f"{address}{row.pk}/", f"{address}{row.pk}/delete/"):
                assert client.post(page, data).status_code == 403
        assert (
            client.post(f"{NUMBERS}{Series.objects.first().pk}/", {"number": "9000", "sure": "on"}).status_code == 403
        )
    assert [list(model.objects.values()) for model in (BoxKind, VanDay, VatRate, Series)] == before


def test_strangers_sign_in_first(client):
    for page in pages():
        assert client.get(page).url == f"/sign-in/?next={page}"


@pytest.mark.parametrize("name", LISTS)
def test_a_row_is_added_changed_and_deleted(owner, name):
    address, data, _ = LISTS[name]
    model = {"box": BoxKind, "day": VanDay, "rate": VatRate}[name]
    known = set(model.objects.values_list("pk", flat=True))
    assert owner.post(address, data).url == address
    row = model.objects.exclude(pk__in=known).get()
    form = owner.get(f"{address}{row.pk}/").context["form"]
    change = {"box": {"tare_g": "310", "standard": "on"}, "day": {"note": "town"}, "rate": {"percent": "22"}}[name]
    assert owner.post(f"{address}{row.pk}/", {**data, **change, "seen": form["seen"].value()}).url == address
    assert owner.get(f"{address}{row.pk}/delete/").status_code == 405
    assert owner.post(f"{address}{row.pk}/delete/").url == address
    assert not model.objects.filter(pk=row.pk).exists()
    assert owner.post(f"{address}{row.pk}/delete/").status_code == 404
    assert [line.split()[-1] for line in (told()[0], told()[-1])] == ["added", "deleted"]
    assert "became" in told()[1]


@pytest.mark.parametrize("name", ["box", "day"])
def test_sent_twice_makes_one_row(owner, name):
    address, data, _ = LISTS[name]
    owner.post(address, data)
    assert owner.post(address, data).status_code == 422
    assert len(told()) == 1


def test_a_rate_sent_twice_makes_one_row(owner):
    before = VatRate.objects.count()
    owner.post(RATES, RATE)
    assert owner.post(RATES, RATE).status_code == 422
    assert VatRate.objects.count() == before + 1


@pytest.mark.parametrize(
    ("name", "field", "value", "where"),
    [
        ("box", "name", "", "name"),
        ("box", "name", "x" * 41, "name"),
        ("box", "name", "a\0", "name"),
        ("box", "length_mm", "", "length_mm"),
        ("box", "length_mm", "0", "length_mm"),
        ("box", "width_mm", "-5", "width_mm"),
        ("box", "height_mm", "2001", "height_mm"),
        ("box", "height_mm", "1000000000", "height_mm"),
        ("box", "length_mm", "long", "length_mm"),
        ("box", "tare_g", "-1", "tare_g"),
        ("box", "tare_g", "15000", "tare_g"),
        ("box", "tare_g", "1000000000000", "tare_g"),
        ("box", "limit_g", "499", "limit_g"),
        ("box", "limit_g", "25001", "limit_g"),
        ("day", "weekday", "", "weekday"),
        ("day", "weekday", "7", "weekday"),
        ("day", "weekday", "-1", "weekday"),
        ("day", "weekday", "Sunday", "weekday"),
        ("day", "note", "x" * 61, "note"),
        ("rate", "vat_class", "luxury", "vat_class"),
        ("rate", "category", "E", "category"),
        ("rate", "percent", "", "percent"),
        ("rate", "percent", "-1", "percent"),
        ("rate", "percent", "0", "percent"),
        ("rate", "percent", "100", "percent"),
        ("rate", "percent", "20.001", "percent"),
        ("rate", "percent", "1e9", "percent"),
        ("rate", "since", "", "since"),
        ("rate", "since", "1970-01-01", "since"),
        ("rate", "since", "9999-12-31", "since"),
        ("rate", "since", "tomorrow", "since"),
    ],
)
def test_bad_input_is_refused_beside_what_was_typed(owner, name, field, value, where):
    address, data, _ = LISTS[name]
    response = owner.post(address, {**data, field: value})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == [where]
    assert response.context["form"][field].value() == value
    assert told() == []


@pytest.mark.parametrize("name", LISTS)
def test_the_second_to_save_is_told_and_sees_both(owner, name):
    address, data, make = LISTS[name]
    row = make()
    stale = {**data, "seen": owner.get(f"{address}{row.pk}/").context["form"]["seen"].value()}
    field, theirs = {"box": ("name", "Bea's box"), "day": ("note", "Bea's way"), "rate": ("percent", "7")}[name]
    type(row).objects.filter(pk=row.pk).update(**{field: theirs})
    second = owner.post(f"{address}{row.pk}/", stale)
    assert second.status_code == 422
    assert "Somebody changed this while you were typing" in second.content.decode()
    assert f"<dd>{theirs.replace(chr(39), '&#x27;')}</dd>" in second.content.decode()
    assert second.context["form"][field].value() == data[field]
    assert told() == []


@pytest.mark.parametrize("name", LISTS)
def test_a_list_asks_the_same_of_one_row_and_of_many(owner, name, django_assert_num_queries):
    address, _, make = LISTS[name]
    make()
    owner.get(address)
    with django_assert_num_queries(3):
        owner.get(address)
    for n in range(30):
        if name == "box":
            make()
        elif name == "rate":
            make(since=date(2027, 1, 1) + timedelta(days=n))
        elif n < 7 and n != 4:
            make(weekday=n)
    with django_assert_num_queries(3):
        assert owner.get(address).status_code == 200


def test_the_first_box_is_the_standard_one_and_a_new_one_takes_over(owner):
    owner.post(BOXES, BOX)
    first = BoxKind.objects.get()
    assert first.standard
    owner.post(BOXES, {**BOX, "name": "Flat box", "standard": "on"})
    assert [kind.name for kind in BoxKind.objects.filter(standard=True)] == ["Flat box"]
    seen = owner.get(f"{BOXES}{first.pk}/").context["form"]["seen"].value()
    owner.post(f"{BOXES}{first.pk}/", {**BOX, "standard": "on", "seen": seen})
    assert [kind.name for kind in BoxKind.objects.filter(standard=True)] == ["Long box"]
    assert "Long box is the standard box now, before Flat box" in told()


@pytest.mark.parametrize(
    "change", [{"standard": ""}, {"standard": "", "active": ""}, {"standard": "on", "active": ""}]
)
def test_the_standard_box_is_never_just_taken_away(owner, change):
    kind = make_box_kind(standard=True)
    seen = owner.get(f"{BOXES}{kind.pk}/").context["form"]["seen"].value()
    data = {name: value for name, value in {**BOX, **change, "seen": seen}.items() if value}
    refused = owner.post(f"{BOXES}{kind.pk}/", data)
    assert refused.status_code == 422
    assert set(refused.context["form"].errors) <= {"standard", "active"}
    make_box_kind()
    assert owner.post(f"{BOXES}{kind.pk}/delete/").status_code == 422
    kind.refresh_from_db()
    assert kind.standard
    assert kind.active


def test_a_stale_form_does_not_move_the_standard(owner):
    standard, other = make_box_kind(standard=True), make_box_kind()
    response = owner.post(f"{BOXES}{other.pk}/", {**BOX, "standard": "on", "seen": "0" * 16})
    assert response.status_code == 422
    standard.refresh_from_db()
    assert standard.standard


def test_a_box_something_was_packed_in_stays_but_goes_out_of_use(owner):
    make_box_kind(standard=True)
    kind = make_box_kind()
    order = make_order()
    delivery = Delivery.objects.create(
        order=order, van_day=date(2026, 12, 3), started_at=timezone.now(), started_by=order.made_by
    )
    Box.objects.create(delivery=delivery, number=1, kind=kind)
    refused = owner.post(f"{BOXES}{kind.pk}/delete/")
    assert refused.status_code == 422
    assert "it is used by 1 box" in refused.content.decode()
    seen = owner.get(f"{BOXES}{kind.pk}/").context["form"]["seen"].value()
    data = {name: value for name, value in BOX.items() if name != "active"}
    assert owner.post(f"{BOXES}{kind.pk}/", {**data, "seen": seen}).status_code == 302
    kind.refresh_from_db()
    assert not kind.active


def test_lifting_is_cautioned_about(owner):
    page = owner.get(BOXES).content.decode()
    assert "25 kg for a man, 16 kg for a woman" in page
    assert "local rules go before" in page


def test_constraints_hold_without_the_form():
    make_box_kind(standard=True)
    with pytest.raises(IntegrityError), transaction.atomic():
        make_box_kind(standard=True)
    make_day(weekday=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        make_day(weekday=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        make_day(weekday=7)
    with pytest.raises(ValidationError, match="Category Z is 0 %; category S"):
        set_up.add_vat_rate(
            row=VatRate(vat_class="zero", category="Z", percent=Decimal(5), since=date(2026, 6, 1)), by=make_person()
        )
    for wrong in ({"category": "Z", "percent": 5}, {"category": "S", "percent": 0}, {"category": "S", "percent": -1}):
        with pytest.raises(IntegrityError), transaction.atomic():
            make_rate(**wrong)
    with pytest.raises(IntegrityError), transaction.atomic():
        make_rate(), make_rate()


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


def raise_to(client, name, number, **fields):
    series = Series.objects.get(name=name)
    seen = client.get(f"{NUMBERS}{series.pk}/").context["form"]["seen"].value()
    return client.post(f"{NUMBERS}{series.pk}/", {"number": number, "sure": "on", "seen": seen, **fields})


def test_numbers_are_raised_and_go_on_from_there(owner):
    assert raise_to(owner, "order", "5000").url == NUMBERS
    assert make_order().number == 5000
    assert raise_to(owner, "invoice", "3000").status_code == 302
    assert Series.objects.get(name="invoice").next == 3000
    assert told() == [
        "Next order number raised from 2001 to 5000",
        "Next invoice number raised from INV-1001 to INV-3000",
    ]
    assert "5000" in owner.get(NUMBERS).content.decode()


@pytest.mark.parametrize("number", ["", "2000", "0", "-1", "10000000", "1000000000000", "2001.5", "many", "2\0"])
def test_numbers_are_never_lowered_and_bad_ones_refused(owner, number):
    response = raise_to(owner, "order", number)
    assert response.status_code == 422
    assert list(response.context["form"].errors) == ["number"]
    assert Series.objects.get(name="order").next == 2001


def test_raising_wants_to_be_meant(owner):
    response = raise_to(owner, "order", "5000", sure="")
    assert list(response.context["form"].errors) == ["sure"]
    assert Series.objects.get(name="order").next == 2001


def test_never_below_what_was_given(owner):
    make_order(), make_order()
    assert raise_to(owner, "order", "2002").status_code == 422
    assert raise_to(owner, "order", "2003").status_code == 302
    assert told() == []


@pytest.mark.parametrize("kind", ["invoice", "delivery note"])
def test_numbers_that_run_without_a_gap_stay_once_the_first_was_given(owner, kind):
    make_paper(kind, 1001)
    Series.objects.filter(name=kind).update(next=1002)
    refused = raise_to(owner, kind, "2000")
    assert refused.status_code == 422
    assert "without a gap" in refused.content.decode()
    assert Series.objects.get(name=kind).next == 1002


def test_a_number_given_meanwhile_is_told(owner):
    series = Series.objects.get(name="order")
    seen = owner.get(f"{NUMBERS}{series.pk}/").context["form"]["seen"].value()
    make_order()
    told_stale = owner.post(f"{NUMBERS}{series.pk}/", {"number": "5000", "sure": "on", "seen": seen})
    assert told_stale.status_code == 422
    assert "Somebody changed this while you were typing" in told_stale.content.decode()
    assert "The next order has number 2002" in told_stale.content.decode()
    again = told_stale.context["form"]["seen"].value()
    assert owner.post(f"{NUMBERS}{series.pk}/", {"number": "5000", "sure": "on", "seen": again}).status_code == 302


def test_raising_twice_does_no_harm(owner):
    raise_to(owner, "order", "5000")
    raise_to(owner, "order", "5000")
    assert len(told()) == 1


def test_the_domain_refuses_what_the_form_would(owner):
    series = Series.objects.get(name="order")
    seen = fingerprint(series, ("next",))
    for number in (2000, set_up.MOST_NUMBER + 1):
        with pytest.raises(ValidationError):
            set_up.raise_next_number(series=series, number=number, seen=seen, by=owner.person)
    assert Workshop.objects.count() == 0
