"""Files from strangers: any name, any content, at each of the three places that take one."""

import io
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory.models import SheetFile
from orders.models import BankFile, KeptFile
from tests.factories.order_forms import filled, make_form
from tests.hostile.house import rows_changed

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # a file is read before the database hears of it
PLACES = {"sheets_in": {"kind": "shops"}, "bank": {"typed": ""}, "order_forms": {"shop": ""}}
CSV = b"Name,Town\nExample shop,Wexcombe\n"
SHEETS = {"sheets_in": "Name,Town\nShop {},Wexcombe\n", "bank": "Date,Text,Amount\n01/11/2026,LAMP,{}.00\n"}


def zipped(**parts: bytes) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as file:
        for name, data in parts.items():
            file.writestr(name.replace("__", "/"), data)
    return made.getvalue()


# What is none of the kinds, whatever its name says.
OTHER_KINDS = {
    "picture": b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 40,
    "program": b"\x7fELF" + bytes(range(256)) * 40,
    "old office": b"\xd0\xcf\x11\xe0" + b"\0" * 4000,
    "page": b"<!doctype html><script>alert(1)</script>",
    "drawing": b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>',
    "zip of nothing": zipped(),
    "zip of ways out": zipped(**{"..__..__etc__passwd": b"x", "xl__workbook.xml": b"<workbook/>"}),
    "entities": zipped(**{"[Content_Types].xml": b'<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]><a>&b;</a>'}),
    "half a zip": zipped(**{"xl__workbook.xml": b"x" * 900})[:200],
    "not text": b"\xff\xfe\x00\xd8" * 500,
    "nothing": b"",
    "blanks": b" \r\n" * 100,
    "one long line": b"a" * 100_000,
}
NAMES = [
    "../../../etc/passwd", "..\\..\\settings.py", "C:\\Users\\x\\shops.csv", "/etc/cron.d/x", "<img src=x>.csv",
    'a"; filename="b.exe', "a\r\nX-Evil: 1.csv", "\u202evsc.exe", "a" * 190 + ".csv", "shops.csv/",
    "=1+1.csv", "..", "CON",
]  # fmt: skip


def send(client, place: str, data: bytes, name: str = "x.csv"):
    """As a hostile client would write it: the name stands in the body as it is, which no browser and no test client
    would send.
    """
    fields = "".join(
        f'--x\r\nContent-Disposition: form-data; name="{n}"\r\n\r\n{v}\r\n' for n, v in PLACES[place].items()
    )
    head = f'--x\r\nContent-Disposition: form-data; name="file"; filename="{name}"\r\nContent-Type: text/html\r\n\r\n'
    body = f"{fields}{head}".encode() + data + b"\r\n--x--\r\n"
    return client.post(reverse(place), body, content_type="multipart/form-data; boundary=x")


@pytest.mark.parametrize("place", PLACES)
def test_what_is_no_sheet_is_refused_beside_its_field_and_kept_nowhere(world, owner, place):
    for kind, data in OTHER_KINDS.items():
        for name in ("x.csv", "x.xlsx"):
            before = rows_changed()
            answer = send(owner, place, data, name)
            assert answer.status_code == 422, kind
            assert answer.context["form"].errors, kind
            assert rows_changed() == before, kind


def kept_names() -> set[str]:
    return {name for model in (SheetFile, BankFile, KeptFile) for name in model.objects.values_list("name", flat=True)}


@pytest.mark.parametrize("place", PLACES)
def test_a_name_leads_nowhere_and_forges_no_header(world, owner, place):
    form = make_form(shop=world.season.sent.shop, by=world.season.by) if place == "order_forms" else None
    taken = 0
    for n, name in enumerate(NAMES):
        data = filled(form, {"IV250": n + 1}) if form else SHEETS[place].format(n + 1).encode()
        known = kept_names()
        answer = send(owner, place, data, name)
        assert answer.status_code in {302, 422}, name
        for kept in kept_names() - known:
            taken += 1
            assert kept.isprintable(), name
            assert not set("/\\") & set(kept), name
        if answer.status_code == 302:
            assert owner.get(answer.url).status_code in {200, 302}, name
    assert taken, "no file was kept under any of the names"
    for row in KeptFile.objects.all():
        head = owner.get(row.get_absolute_url())["Content-Disposition"]
        assert head.isascii(), row.name
        assert head.startswith("attachment; filename*=UTF-8''"), row.name
        assert not set('"\r\n<>') & set(head.partition("''")[2]), row.name


@pytest.mark.parametrize("place", PLACES)
def test_a_file_just_too_long_is_refused_beside_its_field(world, owner, place):
    answer = send(owner, place, b"x" * 10_000_001)
    assert answer.status_code == 422
    assert "MB" in str(answer.context["form"].errors) or "long" in str(answer.context["form"].errors)


def test_more_files_than_a_form_has_are_refused(owner, world):
    before = rows_changed()
    files = {f"file{n}": SimpleUploadedFile("x.csv", CSV) for n in range(6)}
    assert owner.post(reverse("sheets_in"), {"kind": "shops", **files}).status_code == 400
    assert rows_changed() == before
