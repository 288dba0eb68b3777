"""Signing in, changing hands and Set-up in a real browser: by keyboard, and with nothing axe objects to."""

import re

import pytest

from inventory.models import Shelf
from tests.factories import (
    make_person,
)
from tests.factories.house import PASSWORD

pytestmark = pytest.mark.django_db(transaction=True)


def with_pin(*roles, pin="2580", **fields):
    person = make_person(*roles, **fields)
    person.set_pin(pin)
    person.save()
    return person


def test_refused_forms_pass_axe(page, check_axe):
    with_pin("owner", username="ann")
    page.goto("/sign-in/")
    check_axe(page)
    for password in ("not-it-9", PASSWORD):
        page.get_by_label("Sign-in name").fill("ann")
        page.get_by_label("Password").fill(password)
        with page.expect_navigation():
            page.keyboard.press("Enter")
        if password != PASSWORD:
            check_axe(page)
    for address in ("/set-up/shelves/", "/set-up/people/new/", "/change-hands/"):
        page.goto(address)
        # The browser's own checks would stop an empty form; the server's are what is looked at.
        page.eval_on_selector_all("main form", "forms => forms.forEach(form => { form.noValidate = true })")
        with page.expect_navigation():
            page.locator("main button.solid").click()
        assert page.locator(".refusal").count() == 1
        check_axe(page)


def test_the_tablet_changes_hands_by_keyboard(page):
    make_person("packer", username="cal")
    with_pin("dipper", full_name="Bea Orrin")
    with_pin("packer", full_name="Dot Hexley", pin="7391")
    page.goto("/sign-in/?next=/change-hands/")
    page.get_by_label("Sign-in name").fill("cal")
    page.keyboard.press("Tab")
    page.keyboard.type(PASSWORD)
    page.keyboard.press("Enter")
    page.get_by_label("Bea Orrin").focus()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Tab")
    page.keyboard.type("7391")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert page.locator(".rail .person").inner_text().startswith("Dot Hexley")


def test_names_and_pin_are_big_enough_for_waxy_fingers(page, sign_in):
    sign_in(page, with_pin("dipper", full_name="Bea Orrin"))
    page.goto("/change-hands/")
    for target in (
        page.locator(".hands fieldset label").first,
        page.locator("[name=pin]"),
        page.locator(".hands .solid"),
    ):
        assert target.bounding_box()["height"] >= 64
    assert page.locator("[name=pin]").get_attribute("inputmode") == "numeric"


def test_a_form_sent_after_the_sign_in_ran_out_comes_back(page, trouble, check_axe):
    make_person("owner", username="ann")
    page.goto("/sign-in/?next=/set-up/shelves/")
    sign_in_here(page)
    page.get_by_label("Code").fill("A7")
    page.get_by_label("Note").fill("by the “door” & left")
    page.context.clear_cookies(name="sessionid")
    page.get_by_role("button", name="Write down").click()
    page.wait_for_url(re.compile("shelves"))
    check_axe(page)
    sign_in_here(page)
    assert page.locator("h1").inner_text() == "Your form is still here: send it again."
    check_axe(page)
    page.get_by_role("button", name="Send it again").click()
    page.wait_for_url(re.compile(r"/set-up/shelves/$"))
    assert page.get_by_role("link", name="A7").is_visible()
    assert Shelf.objects.get().note == "by the “door” & left"
    # The late form itself was answered with 403; nothing else went wrong.
    assert len(trouble) == 1
    assert trouble.pop().startswith("403")


def sign_in_here(page):
    page.get_by_label("Sign-in name").fill("ann")
    page.get_by_label("Password").fill(PASSWORD)
    with page.expect_navigation():
        page.get_by_role("button", name="Sign in").click()
