"""The browser's own house: a page of the live server opens, signed in, and trouble in it is noticed."""

import pytest

from tests.factories import make_person


def test_signed_in_page_opens_without_trouble(page, sign_in, check_axe):
    sign_in(page, make_person("owner", full_name="Mara Quill"))
    page.goto("/set-up/")
    assert page.locator("h1").count() == 1
    assert "sign-in" not in page.url
    check_axe(page)


def test_stranger_is_asked_to_sign_in(page, check_axe):
    page.goto("/set-up/")
    assert "/sign-in/" in page.url
    check_axe(page)


def test_trouble_in_the_page_is_noticed(page, trouble):
    page.goto("/sign-in/")
    page.evaluate("console.error('a wick burnt through')")
    with page.expect_response("**/no-such-place/"):
        page.evaluate("fetch('/no-such-place/').then(() => null)")
    assert "console: a wick burnt through" in trouble
    assert any(line.startswith("404") for line in trouble)
    trouble.clear()


def test_policy_forbids_script_in_the_page(page, trouble):
    page.goto("/sign-in/")
    with page.expect_console_message(lambda message: "inline event handler" in message.text):
        page.evaluate("document.body.insertAdjacentHTML('beforeend', '<img src=x: onerror=\"window.burnt = 1\">')")
    assert page.evaluate("window.burnt") is None
    trouble.clear()


def test_axe_finds_what_is_wrong(page, check_axe):
    page.goto("/sign-in/")
    page.evaluate("document.querySelector('main, body').insertAdjacentHTML('beforeend', '<input>')")
    with pytest.raises(AssertionError, match="label"):
        check_axe(page)
