"""Every page in a real browser at both widths: axe finds nothing, nothing is wider than the screen, no error."""

import pytest

from tests.every_page import every_address

pytestmark = pytest.mark.django_db(transaction=True)


def first_bytes(answer) -> bytes:
    return b"" if answer.streaming else answer.content.lstrip()[:20].lower()


@pytest.mark.parametrize("width", [1280, 820])
def test_axe_finds_nothing_on_any_page(page, sign_in, check_axe, client_for, width):
    season, addresses = every_address()
    client = client_for(person=season.by)
    pages = [
        address
        for address in addresses.values()
        # A whole page: not a file, and not a part that htmx puts into one.
        if (answer := client.get(address)).status_code == 200 and first_bytes(answer).startswith(b"<!doctype html>")
    ]
    assert len(pages) > 60
    sign_in(page, season.by)
    page.set_viewport_size({"width": width, "height": 900})
    wrong = []
    for address in pages:
        page.goto(address)
        try:
            check_axe(page)
        except AssertionError as breach:
            wrong.append(str(breach))
        if page.evaluate("document.documentElement.scrollWidth") > width:
            wrong.append(f"{address} is wider than {width} px")
    assert not wrong, "\n".join(wrong)
