"""The script every page has: a form goes out once, Ctrl+Enter presses the solid button, wide tables can be reached."""

import pytest
from django.urls import reverse

PATIENCE_MS = 8_000
FORM = """() => {
  const form = document.createElement("form");
  form.method = "post"; form.action = "/caught/"; form.dataset.ctrlEnter = "";
  form.innerHTML = '<input name="pairs" aria-label="Pairs">'
    + '<button class="outline" name="act" value="keep">Keep</button>'
    + '<button class="solid" name="act" value="confirm">Confirm</button>';
  document.querySelector("main").append(form);
}"""


@pytest.fixture
def posts(page):
    """What the page's form posts, caught before it reaches the server; 204 leaves the page standing."""
    caught = []

    def catch(route):
        caught.append(route.request.post_data)
        route.fulfill(status=204)

    page.route("**/caught/", catch)
    page.clock.install()
    page.goto(reverse("sign_in"))
    page.evaluate(FORM)
    return caught


def press(page):
    with page.expect_response("**/caught/"):
        page.get_by_role("button", name="Confirm").click()


def test_a_double_click_sends_one_form(page, posts):
    with page.expect_response("**/caught/"):
        page.get_by_role("button", name="Confirm").dblclick()
    assert page.get_by_role("button", name="Confirm").get_attribute("aria-disabled") == "true"
    page.clock.run_for(PATIENCE_MS)
    press(page)
    assert posts == ["pairs=&act=confirm"] * 2


def test_coming_back_to_the_page_gives_the_form_back(page, posts):
    press(page)
    page.evaluate("dispatchEvent(new PageTransitionEvent('pageshow', {persisted: true}))")
    press(page)
    assert len(posts) == 2


def test_ctrl_enter_presses_the_solid_button(page, posts):
    page.get_by_label("Pairs").fill("24")
    with page.expect_response("**/caught/"):
        page.keyboard.press("Control+Enter")
    assert posts == ["pairs=24&act=confirm"]


def test_ctrl_enter_works_from_anywhere_on_the_page(page, posts):
    page.locator("main").focus()
    with page.expect_response("**/caught/"):
        page.keyboard.press("Control+Enter")
    assert posts == ["pairs=&act=confirm"]


def test_a_table_can_be_scrolled_by_keyboard_only_where_it_is_too_wide(page, posts):
    page.evaluate("""() => {
      const region = document.createElement("div");
      region.className = "scroll"; region.dataset.label = "Order book";
      region.innerHTML = "<table><tr><td>" + "wick".repeat(80) + "</td></tr></table>";
      document.querySelector("main").append(region);
    }""")
    page.set_viewport_size({"width": 390, "height": 800})
    region = page.get_by_role("region", name="Order book")
    region.wait_for()
    assert region.get_attribute("tabindex") == "0"
    page.evaluate("document.querySelector('.scroll table').remove()")
    page.set_viewport_size({"width": 1280, "height": 800})
    page.locator(".scroll:not([tabindex])").wait_for(state="attached")


@pytest.mark.parametrize("width", [390, 820, 1280])
def test_no_page_is_wider_than_its_window(page, width, check_axe):
    page.set_viewport_size({"width": width, "height": 800})
    page.goto(reverse("sign_in"))
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    check_axe(page)


def test_the_skip_link_comes_first_and_leads_past_the_rail(page):
    page.goto(reverse("sign_in"))
    page.evaluate("document.activeElement.blur()")
    page.locator("body").press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
