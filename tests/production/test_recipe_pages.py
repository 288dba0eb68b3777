"""The pages of the recipes: stages come and go without JavaScript, and nothing typed is lost."""

import pytest

from config.roles import ROLES
from production.models import Recipe
from tests.factories import make_candle, make_colour, make_frame, make_heat, make_recipe
from tests.production.setup_pages import asked, recipe_data

pytestmark = pytest.mark.django_db
FINISH = {"celsius": "80", "growth_mm": "0.2", "finish_dips": "1"}


@pytest.fixture
def owner(client_for):
    return client_for("owner")


def at(candle) -> str:
    return f"/recipes/{candle.pk}/"


@pytest.mark.parametrize("role", ROLES)
def test_dippers_read_and_owners_write(client_for, role):
    client, written, bare = client_for(role), make_recipe().candle, make_candle()
    reads, writes = role in ("owner", "dipper"), role == "owner"
    for address in ("/recipes/", at(written), at(bare)):
        assert client.get(address).status_code == (200 if reads else 403)
    assert client.post("/recipes/make/").status_code == (302 if writes else 403)
    assert client.post(at(bare), recipe_data(bare, {}, version="1")).status_code == (302 if writes else 403)
    assert client.post(f"{at(written)}delete/").status_code == (302 if writes else 403)
    assert Recipe.objects.count() == 1


def test_dippers_see_no_form_and_what_to_dip(client_for):
    page = client_for("dipper").get(at(make_recipe().candle)).content.decode()
    assert 'class="recipe"' not in page
    assert "21.5 to 22.5 mm at the base" in page


def test_one_click_makes_those_that_are_missing(owner):
    make_candle(), make_candle()
    assert "Make the 2 missing from the candles" in owner.get("/recipes/").content.decode()
    assert owner.get("/recipes/make/").status_code == 405
    for _ in range(2):
        assert owner.post("/recipes/make/").url == "/recipes/"
    assert Recipe.objects.count() == 2
    assert "All 2 candles have their recipe." in owner.get("/recipes/").context["headline"]


def test_a_candle_without_a_recipe_is_offered_its_own(owner):
    candle = make_candle()
    make_heat(candle.wax)
    page = owner.get(at(candle))
    assert "has no recipe yet" in page.context["headline"]
    assert [row["celsius"].value() for row in page.context["rows"]] == [68, 80]
    assert not Recipe.objects.exists()
    assert owner.post(at(candle), recipe_data(candle, {}, FINISH)).url == at(candle)
    assert Recipe.objects.get().stages.count() == 2
    assert "about 34 dips" in owner.get(at(candle)).context["headline"]


def test_sent_twice_the_second_is_told(owner):
    candle = make_candle()
    sent = recipe_data(candle, {})
    assert owner.post(at(candle), sent).status_code == 302
    again = owner.post(at(candle), sent)
    assert again.status_code == 422
    assert "Somebody changed this while you were typing" in again.content.decode()
    assert again.context["form"]["version"].value() == 1


def test_a_recipe_deleted_meanwhile_is_told(owner):
    candle = make_candle()
    again = owner.post(at(candle), recipe_data(candle, {}, version="3"))
    assert again.status_code == 422
    assert again.context["form"]["version"].value() == 0


def test_stages_come_and_go_and_nothing_typed_is_lost(owner):
    candle = make_candle()
    sent = recipe_data(candle, {"celsius": "69"}, {"celsius": "seventy"}, harden_hours="a day")
    more = owner.post(at(candle), {**sent, "add_stage": "1"})
    assert more.status_code == 200
    assert [row["celsius"].value() for row in more.context["rows"]] == ["69", "seventy", "seventy"]
    assert more.context["form"]["harden_hours"].value() == "a day"
    fewer = owner.post(at(candle), {**sent, "drop_stage": "0"})
    assert [row["celsius"].value() for row in fewer.context["rows"]] == ["seventy"]
    turned = owner.post(at(candle), {**sent, "earlier_stage": "1"})
    assert [row["celsius"].value() for row in turned.context["rows"]] == ["seventy", "69"]
    assert not Recipe.objects.exists()


@pytest.mark.parametrize(
    "act", [{"drop_stage": "9"}, {"drop_stage": "x"}, {"earlier_stage": "-1"}, {"drop_stage": "9" * 30}]
)
def test_a_button_that_is_none_changes_nothing(owner, act):
    candle = make_candle()
    shown = owner.post(at(candle), recipe_data(candle, {}, FINISH) | act)
    assert shown.status_code == 200
    assert len(shown.context["rows"]) == 2


def test_no_recipe_has_more_than_eight_stages(owner):
    candle = make_candle()
    full = recipe_data(candle, *({"until_mm": str(3 + 2 * n)} for n in range(8)))
    assert len(owner.post(at(candle), {**full, "add_stage": "1"}).context["rows"]) == 8
    assert owner.post(at(candle), recipe_data(candle, *({} for _ in range(9)))).status_code == 422
    assert owner.post(at(candle), recipe_data(candle)).status_code == 422
    assert owner.post(at(candle), {"version": "0"}).status_code == 422
    assert not Recipe.objects.exists()


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("start_mm", ""),
        ("start_mm", "-1"),
        ("gauge_low_mm", "1000000000"),
        ("gauge_high_mm", "NaN"),
        ("harden_hours", "241"),
        ("harden_hours", "1000000000"),
        ("firsts_of", "0"),
        ("firsts_good", "many"),
        ("stages-0-wax", "999"),
        ("stages-0-wax", ""),
        ("stages-0-colour", "x"),
        ("stages-0-celsius", "0"),
        ("stages-0-celsius", "90"),
        ("stages-0-celsius", "7\0"),
        ("stages-0-growth_mm", "0"),
        ("stages-0-growth_mm", "3.1"),
        ("stages-0-seconds_in", "0"),
        ("stages-0-seconds_in", "1000000000"),
        ("stages-0-turn_minutes", "0.9"),
        ("stages-0-until_mm", "12"),
        ("stages-1-until_mm", "12"),
        ("stages-1-finish_dips", "6"),
        ("stages-1-finish_dips", "-1"),
    ],
)
def test_bad_input_is_refused_beside_what_was_typed(owner, field, value):
    candle = make_candle()
    refused = owner.post(at(candle), recipe_data(candle, {}, FINISH) | {field: value})
    assert refused.status_code == 422
    prefix, _, name = field.rpartition("-")
    rows = {row.prefix: row for row in refused.context["rows"]}
    form = rows[prefix] if prefix else refused.context["form"]
    # A start below nought breaks the order of start and gauge: that is said at the head.
    assert (name if (field, value) != ("start_mm", "-1") else "__all__") in form.errors
    assert form[name].value() == value
    assert f"#id_{field}" in refused.content.decode() or "__all__" in form.errors
    assert not Recipe.objects.exists()


def test_what_frames_are_dipped_by_stays(owner):
    candle = make_candle()
    owner.post(at(candle), recipe_data(candle, {}))
    frame = make_frame(candle, state="hanging", dips=3, stage_dips=3)
    assert "1 frame waits for dips by it" in owner.get(at(candle)).content.decode()
    other = recipe_data(candle, {"colour": str(make_colour().pk)}, version="1")
    refused = owner.post(at(candle), other)
    assert frame.code in " ".join(refused.context["form"].non_field_errors())
    deleted = owner.post(f"{at(candle)}delete/")
    assert deleted.status_code == 422
    assert frame.code in deleted.content.decode()
    assert owner.get(f"{at(candle)}delete/").status_code == 405


def test_what_is_unusual_is_said(owner):
    candle = make_candle()
    make_heat(candle.wax)
    owner.post(at(candle), recipe_data(candle, {"celsius": "80", "growth_mm": "1.5", "seconds_in": "20"}))
    doubts = " ".join(owner.get(at(candle)).context["doubts"])
    for part in ("63 to 73 C is usual", "usually adds 0.3 to 1.2 mm", "More than 10 seconds"):
        assert part in doubts


def test_the_list_is_narrowed_and_asks_the_same_of_one_and_of_thirty(owner):
    make_recipe(make_candle(code="AA1"), stages=2), make_candle(code="BB1")
    owner.get("/recipes/")
    one = asked(owner, "/recipes/")
    for _ in range(29):
        make_recipe(make_candle(), stages=2)
    assert asked(owner, "/recipes/") == one
    missing = owner.get("/recipes/?missing=true").context["table"]
    assert [row.record.code for row in missing.rows] == ["BB1"]
    assert len(owner.get("/recipes/?missing=false").context["table"].rows) == 30


def test_unknown_candles_have_no_recipe(owner):
    for address in ("/recipes/999999/", "/recipes/0/"):
        assert owner.get(address).status_code == 404
        assert owner.post(address).status_code == 404
        assert owner.post(f"{address}delete/").status_code == 404
