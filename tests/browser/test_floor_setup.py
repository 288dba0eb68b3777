"""The floor's set-up in a real browser: vats, recipes and the check sheet by keyboard, and nothing axe objects to."""

import pytest

from production.models import FloorCheck, Recipe, VatReading
from tests.factories import (
    make_person,
    make_recipe,
    make_vat,
)

pytestmark = pytest.mark.django_db(transaction=True)


def test_refused_forms_pass_axe(page, sign_in, check_axe):
    vat, candle = make_vat(), make_recipe().candle
    sign_in(page, make_person("owner"))
    page.goto(f"/vats/{vat.pk}/")
    page.get_by_label("Heat read off it").fill("251")
    page.get_by_role("button", name="Write the heat down").click()
    check_axe(page)
    assert page.get_by_label("Heat read off it").input_value() == "251"
    page.goto(f"/recipes/{candle.pk}/")
    page.get_by_label("Vat at (C)").fill("89.5")
    page.get_by_role("button", name="Save", exact=True).click()
    check_axe(page)
    assert "Nothing was changed" in page.locator(".refusal").inner_text()
    page.goto("/floor/check-sheet/")
    page.get_by_role("button", name="Keep the sheet").click()
    check_axe(page)
    assert "say what is not in order" in page.locator(".refusal").inner_text()
    assert not VatReading.objects.exists()


def test_a_stage_is_added_and_the_recipe_saved_by_enter(page, sign_in):
    candle = make_recipe(stages=1).candle
    sign_in(page, make_person("owner"))
    page.goto(f"/recipes/{candle.pk}/")
    page.get_by_role("button", name="One more stage").click()
    assert page.locator("fieldset.group").count() == 2
    page.get_by_label("Until (mm)").first.fill("11")
    page.get_by_label("Hardens for (hours)").fill("36")
    page.get_by_label("Hardens for (hours)").press("Enter")
    page.wait_for_selector(".message")
    recipe = Recipe.objects.get(candle=candle)
    assert recipe.harden_hours == 36
    assert recipe.stages.count() == 2


def test_the_sheet_is_gone_through_by_keyboard(page, sign_in):
    vat = make_vat(name="Vat 1")
    sign_in(page, make_person("dipper"))
    page.goto("/floor/check-sheet/?part=morning")
    page.get_by_role("checkbox").first.focus()
    for _ in range(page.get_by_role("checkbox").count()):
        page.keyboard.press("Space")
        page.keyboard.press("Tab")
    page.keyboard.type("71")
    page.get_by_role("button", name="Keep the sheet").press("Enter")
    page.wait_for_selector(".message")
    assert FloorCheck.objects.get().not_in_order == ""
    assert VatReading.objects.get(vat=vat).celsius == 71
