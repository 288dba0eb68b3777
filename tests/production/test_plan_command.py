"""manage.py plan: an instance from a file or the book, the same plan for the same seed, mistakes in plain words."""

import json

import pytest
from django.core.management import CommandError, call_command

from production.dip_plan.codec import problem_to_json
from production.dip_plan.instances import Size, make
from production.models import DipPlan, PlanSearch
from tests.production.plan_floor import make_plan_floor

TINY = Size(lines=6, items=3, colours=2, vats=1, days=3)


@pytest.fixture(scope="module")
def instance(tmp_path_factory):
    file = tmp_path_factory.mktemp("plan") / "tiny.json"
    file.write_text(json.dumps(problem_to_json(make(TINY, seed=1, load=0.3))))
    return file


def run(capsys, *options) -> str:
    call_command("plan", *options)
    return capsys.readouterr().out


def test_an_instance_is_planned_without_a_book_and_checked(instance, capsys):
    said = json.loads(run(capsys, "--json", "--instance", str(instance), "--effort", "quick"))
    assert said["checked"] is True
    assert said["faults"] == []
    assert said["frames"]
    assert {"candle", "vat", "position", "hang", "first_dip", "last_dip", "ready"} <= set(said["frames"][0])
    assert said["cost"] == 100 * said["late"] + said["change_minutes"] + said["over"]
    assert said["bound"] is None or 0 <= said["bound"] <= said["cost"]
    assert said["gap"] is None or 0 <= said["gap"] <= 1
    assert (said["effort"], said["seed"]) == ("quick", 1)


def test_the_same_effort_and_seed_give_the_same_bytes(instance, capsys):
    options = ("--json", "--instance", str(instance), "--effort", "quick", "--seed", "7")
    assert run(capsys, *options) == run(capsys, *options)


def test_in_words_for_people(instance, capsys):
    said = run(capsys, "--instance", str(instance), "--effort", "quick")
    assert "frames to hang on 3 working days" in said
    assert "Checked: it holds." in said


@pytest.mark.django_db
def test_the_book_is_planned_and_left_alone(capsys):
    make_plan_floor()
    said = json.loads(run(capsys, "--json", "--effort", "quick", "--days", "4"))
    assert said["checked"] is True
    assert {row["vat"] for row in said["frames"]} == {"North vat", "South vat"}
    assert not DipPlan.objects.exists()
    assert not PlanSearch.objects.exists()


@pytest.mark.django_db
def test_an_empty_book_is_planned_too(capsys):
    said = json.loads(run(capsys, "--json", "--effort", "quick"))
    assert (said["frames"], said["cost"], said["checked"]) == ([], 0, True)
    assert any("No working hours" in sentence for sentence in said["said"])


def changed(instance, tmp_path, change) -> str:
    given = json.loads(instance.read_text())
    change(given)
    file = tmp_path / "changed.json"
    file.write_text(json.dumps(given))
    return str(file)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda given: given.pop("vats"), "vats: is missing"),
        (lambda given: given["wants"][0].pop("due"), r"wants\[0\].due: is missing"),
        (lambda given: given["wants"][0].update(pairs="many"), r"wants\[0\].pairs: should be a whole number"),
        (lambda given: given.update(version=9), "version: should be 1"),
        (lambda given: given.update(format="else"), "format: should be"),
    ],
)
def test_a_file_with_a_missing_or_wrong_field_is_named(instance, tmp_path, change, said):
    with pytest.raises(CommandError, match=said):
        call_command("plan", "--instance", changed(instance, tmp_path, change))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "no JSON"),
        (b"{", "no JSON"),
        (b"[1]", "no JSON object"),
        (b"\xff\xfe\x00", "no text"),
        (None, "no such file"),
    ],
)
def test_a_file_that_is_none(tmp_path, content, said):
    file = tmp_path / "bad.json"
    if content is not None:
        file.write_bytes(content)
    with pytest.raises(CommandError, match=said):
        call_command("plan", "--instance", str(file))


@pytest.mark.parametrize(
    "options", [("--seed", "-1"), ("--seed", str(2**31)), ("--days", "0"), ("--days", "61"), ("--effort", "eager")]
)
def test_options_out_of_bounds(options):
    with pytest.raises(CommandError):
        call_command("plan", *options)


def test_an_instance_has_its_own_days(instance):
    with pytest.raises(CommandError, match="an instance says itself"):
        call_command("plan", "--instance", str(instance), "--days", "3")
