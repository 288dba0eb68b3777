from tests.factories import make_order, make_person, make_shop


def test_shops_are_found_as_one_types(page, sign_in, check_axe):
    make_shop(name="The Lamp Room", town="Wexcombe")
    make_shop(name="Fern & Flint", town="Orrin Bay", on_stop=True, stop_reason="owes since May")
    sign_in(page, make_person())
    page.goto("/shops/")
    check_axe(page)
    page.get_by_label("Search").press_sequentially("lamp w")
    page.get_by_text("Fern & Flint").wait_for(state="detached")
    assert page.get_by_role("link", name="The Lamp Room").is_visible()
    assert page.get_by_label("Search").evaluate("field => field === document.activeElement")
    assert page.url.endswith("q=lamp%20w&stands=")
    page.get_by_label("Search").fill("")
    page.get_by_label("Show").select_option("stop")
    page.get_by_text("The Lamp Room").wait_for(state="detached")
    assert page.get_by_text("on stop: owes since May").is_visible()


def test_a_shop_is_taken_on_by_keyboard(page, sign_in, check_axe):
    make_order(make_shop())
    sign_in(page, make_person())
    page.goto("/shops/new/")
    check_axe(page)
    page.get_by_label("Name").fill("Moth & Ember")
    page.get_by_label("Town").fill("Carrick")
    page.get_by_label("VAT number").fill("GB123")
    page.keyboard.press("Enter")
    page.get_by_role("alert").wait_for()
    check_axe(page)
    assert page.get_by_label("Name").input_value() == "Moth & Ember"
    page.get_by_label("VAT number").fill("GB 999 9999 73")
    page.keyboard.press("Enter")
    page.wait_for_url("**/addresses/new/")
    page.get_by_label("Label").fill("Shop")
    page.get_by_label("Address", exact=True).fill("1 Quay")
    page.get_by_label("Town").fill("Carrick")
    page.get_by_label("Postcode").fill("ZZ3 3CC")
    check_axe(page)
    page.keyboard.press("Enter")
    page.get_by_role("link", name="Change Shop").wait_for()
    check_axe(page)
    page.get_by_role("link", name="Change the terms").click()
    assert page.get_by_label("VAT number").input_value() == "GB999999973"
    check_axe(page)
