"""The bank's files on their pages: taken in, columns said, looked at, posted."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from orders.models import BankColumns, BankFile, BankLine, Payment
from tests.factories import make_shop
from tests.orders.ledger.books import key, make_invoice

pytestmark = pytest.mark.django_db

COLUMNS = {
    "name": "Main", "currency": "GBP", "day": "Date", "day_order": "dmy", "amount": "Amount", "money_in": "",
    "money_out": "", "text": "Description", "reference": "Reference", "currency_column": "",
}  # fmt: skip


@pytest.fixture
def keeper(client_for):
    return client_for("bookkeeper")


@pytest.fixture
def shop():
    return make_shop(name="The Lamp Room")


def day(back=1):
    on = timezone.localdate() - timedelta(days=back)
    return f"{on:%d/%m/%Y}"


def csv(*rows):
    return "Date,Description,Reference,Amount\n" + "".join(f"{row}\n" for row in rows)


def take_in(client, *rows, columns=True):
    client.post(reverse("bank"), {"typed": csv(*rows)})
    file = BankFile.objects.first()
    if columns and file.columns_id is None:
        assert client.post(reverse("bank_columns", args=[file.pk]), COLUMNS).status_code == 302
    return BankFile.objects.get(pk=file.pk)


def test_a_file_is_taken_in_its_columns_are_said_and_the_next_is_read_at_once(keeper):
    upload = SimpleUploadedFile("november.csv", csv(f"{day()},LAMP,,1.00").encode(), "text/csv")
    answer = keeper.post(reverse("bank"), {"file": upload})
    file = BankFile.objects.get()
    assert answer.url == reverse("bank_columns", args=[file.pk])
    form = keeper.get(answer.url).context["form"]
    assert [form[name].value() for name in ("day", "amount", "text", "reference")] == [
        "Date", "Amount", "Description", "Reference",
    ]  # fmt: skip
    assert keeper.post(answer.url, COLUMNS).url == file.get_absolute_url()
    assert keeper.get(answer.url).url == file.get_absolute_url()
    second = keeper.post(reverse("bank"), {"typed": csv(f"{day()},FERN,,2.00")})
    assert second.url == BankFile.objects.first().get_absolute_url()
    assert "2 lines of the bank wait" in keeper.get(reverse("bank")).content.decode()


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({}, "Choose a file, or paste its lines."),
        ({"typed": "a^b^c^d\n1^2^3^4\n"}, "not separated by commas, semicolons, tabs or bars"),
        ({"typed": csv()}, "no line beneath them"),
        ({"typed": "a,b,c\x00\n1,2,3"}, "Null characters"),
        ({"file": SimpleUploadedFile("x.csv", b"PK\x00\x00")}, "no CSV file"),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_in_words(keeper, sent, said):
    answer = keeper.post(reverse("bank"), sent)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not BankFile.objects.exists()


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"amount": ""}, "Say in which column"),
        ({"money_in": "Amount"}, "Either one column"),
        ({"day": "Nowhere"}, "Select a valid choice"),
        ({"day": "Description"}, "is not a day"),
        ({"name": ""}, "required"),
        ({"currency": "EUR", "currency_column": "Reference"}, "this account is kept in EUR"),
    ],
)
def test_columns_that_do_not_fit_are_refused(keeper, fields, said):
    file = take_in(keeper, f"{day()},LAMP,GBP,1.00", columns=False)
    answer = keeper.post(reverse("bank_columns", args=[file.pk]), {**COLUMNS, **fields})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not BankColumns.objects.exists()
    assert not BankLine.objects.exists()


def test_nothing_is_posted_unseen_and_what_is_ticked_is_posted_once(keeper, shop):
    invoice = make_invoice(shop)
    file = take_in(keeper, f"{day()},LAMP ROOM,{invoice},120.00", f"{day()},SOMEBODY,,5.00")
    page = keeper.get(file.get_absolute_url())
    assert "2 lines of pasted wait, 125.00 GBP in all; for 1 the match is sure." in page.content.decode()
    assert f"{invoice} is named, and the amount is right." in page.content.decode()
    assert not Payment.objects.exists()
    assert keeper.post(file.get_absolute_url(), {}).status_code == 302
    assert not Payment.objects.exists()
    [sure] = [one for one in page.context["found"] if one.match.sure]
    ticked = {"line": [f"{sure.pk}:{sure.seen}"]}
    answer = keeper.post(file.get_absolute_url(), ticked, follow=True)
    assert "1 payment posted, 120.00 in all." in answer.content.decode()
    keeper.post(file.get_absolute_url(), ticked)
    assert Payment.objects.count() == 1


@pytest.mark.parametrize("line", ["x:y", "999999:abc", "9" * 30 + ":x", ":", "٣:x", "\x00"])
def test_a_tick_that_is_none_posts_nothing(keeper, shop, line):
    file = take_in(keeper, f"{day()},LAMP ROOM,{make_invoice(shop)},120.00")
    assert keeper.post(file.get_absolute_url(), {"line": [line]}).status_code in {302, 422}
    assert not Payment.objects.exists()


def test_a_proposal_that_changed_is_shown_again(keeper, shop):
    file = take_in(keeper, f"{day()},LAMP ROOM,{make_invoice(shop)},120.00")
    answer = keeper.post(file.get_absolute_url(), {"line": [f"{BankLine.objects.get().pk}:stale"]})
    assert answer.status_code == 422
    assert "stands differently by now" in answer.content.decode()
    assert not Payment.objects.exists()


def test_a_line_is_posted_by_hand_to_a_chosen_shop(keeper, shop):
    invoice = make_invoice(shop, "80.00")
    line = take_in(keeper, f"{day()},H M PATTERN,,61.00").lines.get()
    assert "whose is it?" in keeper.get(line.get_absolute_url()).content.decode()
    chosen = keeper.get(line.get_absolute_url(), {"shop": shop.pk})
    assert chosen.context["form"].initial == {f"part_{key(invoice)}": 61}
    assert keeper.post(line.get_absolute_url(), {"shop": shop.pk, f"part_{key(invoice)}": "90"}).status_code == 422
    for _ in range(2):
        keeper.post(line.get_absolute_url(), {"shop": shop.pk, f"part_{key(invoice)}": "60"})
    payment = Payment.objects.get()
    assert [part.amount for part in payment.parts.all()] == [60]
    assert keeper.get(line.get_absolute_url()).url == payment.get_absolute_url()


@pytest.mark.parametrize("asked", ["x", "999999", "9" * 30, "%00"])
def test_an_unknown_shop_is_asked_for_again(keeper, asked):
    line = take_in(keeper, f"{day()},H M PATTERN,,61.00").lines.get()
    assert keeper.get(line.get_absolute_url() + f"?shop={asked}").status_code == 200
    assert keeper.post(line.get_absolute_url(), {"shop": asked}).status_code == 422


def test_a_line_is_put_aside_and_taken_up(keeper):
    line = take_in(keeper, f"{day()},INTEREST,,4.17").lines.get()
    address = reverse("bank_line_aside", args=[line.pk])
    assert keeper.get(address).status_code == 405
    assert keeper.post(address, {"aside": " "}).status_code == 422
    assert keeper.post(address, {"aside": "x" * 121}).status_code == 422
    keeper.post(address, {"aside": "interest"})
    assert "Put aside" in keeper.get(line.file.get_absolute_url()).content.decode()
    keeper.post(address, {"up": "1"})
    assert BankLine.objects.get().aside == ""


def test_a_file_asks_the_same_with_one_line_and_with_thirty(keeper, shop, django_assert_max_num_queries):
    for rows in (1, 29):
        lines = [f"{day()},LAMP ROOM {n},{make_invoice(shop)},120.00" for n in range(rows)]
        file = take_in(keeper, *lines)
        with django_assert_max_num_queries(16):
            keeper.get(file.get_absolute_url())


def test_the_bank_is_the_bookkeepers(client_for, keeper):
    file = take_in(keeper, f"{day()},LAMP,,1.00")
    names = {"bank": [], "bank_file": [file.pk], "bank_columns": [file.pk], "bank_line": [file.lines.get().pk],
             "bank_line_aside": [file.lines.get().pk]}  # fmt: skip
    for role in ("packer", "dipper"):
        client = client_for(role)
        for name, args in names.items():
            assert client.get(reverse(name, args=args)).status_code in {403, 405}
            assert client.post(reverse(name, args=args), {"aside": "x"}).status_code == 403
