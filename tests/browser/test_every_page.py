"""Every page in a real browser: axe finds nothing, nothing is wider than the screen at either width, no error."""

import pytest

from tests.every_page import every_address, is_file, opened

pytestmark = pytest.mark.django_db(transaction=True)
WIDTHS = (1280, 820)  # axe looks at the last, the tablet on the bench
DOCTYPE = b"<!doctype html>"
SHARES = 4  # of the pages, so that several workers share them


def first_bytes(answer) -> bytes:
    return b"" if answer.streaming else answer.content.lstrip()[: len(DOCTYPE)].lower()


def whole_pages(client, addresses) -> list[str]:
    """Those that answer with a page: not a file, and not a part that htmx puts into one."""
    answers = ((address, opened(client, address)) for address in addresses if not is_file(address))
    return [
        a for a, answer in answers if answer.status_code == 200 and first_bytes(answer).startswith(b"<!doctype html>")
    ]


@pytest.mark.parametrize("share", range(SHARES))
def test_axe_finds_nothing_on_any_page_and_none_is_too_wide(page, sign_in, check_axe, client_for, share):
    season, addresses = every_address()
    pages = whole_pages(client_for(person=season.by), list(addresses.values())[share::SHARES])
    assert len(pages) > 80 / SHARES
    sign_in(page, season.by)
    wrong = []
    for address in pages:
        page.set_viewport_size({"width": WIDTHS[0], "height": 900})
        page.goto(address)
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            if page.evaluate("document.documentElement.scrollWidth") > width:
                wrong.append(f"{address} is wider than {width} px")
        if page.locator("main .solid").count() > 1:
            wrong.append(f"{address} has more than one chief action")
        try:
            check_axe(page)
        except AssertionError as breach:
            wrong.append(str(breach))
    assert not wrong, "\n".join(wrong)
