"""Problems and plans as JSON: there and back, and what is wrong is said with its place."""

import json

import pytest

from production.dip_plan.codec import BadInstance, plan_from_json, plan_to_json, problem_from_json, problem_to_json
from production.dip_plan.construct import construct
from tests.production.dip_plan.rich_floors import rich_floor


@pytest.mark.parametrize("seed", range(8))
def test_there_and_back(seed):
    problem = rich_floor(seed)
    plan = construct(problem)
    assert problem_from_json(json.dumps(problem_to_json(problem))) == problem
    assert plan_from_json(json.dumps(plan_to_json(plan))) == plan


def broken(**changes):
    given = json.loads(json.dumps(problem_to_json(rich_floor(1))))
    for path, value in changes.items():
        place, *names = path.split("__")
        target = given
        for name in [place, *names][:-1]:
            target = target[int(name) if name.isdigit() else name]
        last = [place, *names][-1]
        if value is None:
            del target[last]
        else:
            target[int(last) if last.isdigit() else last] = value
    return given


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"format": "other"}, 'format: should be "wickturn-dip-plan".'),
        ({"version": 2}, "version: should be 1"),
        ({"kind": "plan"}, 'kind: should be "problem".'),
        ({"vats": None}, "vats: is missing."),
        ({"vats__0__depth_mm": None}, "vats[0].depth_mm: is missing."),
        ({"vats__0__positions": "6"}, "vats[0].positions: should be a whole number."),
        ({"vats__0__positions": True}, "vats[0].positions: should be a whole number."),
        ({"vats__0__positions": 0}, "vats[0].positions: should be 1 or more."),
        ({"vats__0__name": "a\0b"}, "vats[0].name: holds a NUL character."),
        ({"wants__0__pairs": 10**13}, "is too large a number."),
        ({"wants__0__pairs": -1}, "wants[0]: pairs and weight are 0 or more."),
        ({"wants__0__due": "soon"}, "wants[0].due: should be a date such as 2026-11-30."),
        ({"days__0__opens": "2026-11-05T08:00:00"}, "days[0].opens: should be a moment such as"),
        ({"wants__0__item": 99}, "wants[0].item: there is no item 99"),
        ({"wants__0__whole": 1}, "wants[0].whole: should be true or false."),
        ({"items__0__stages": []}, "items[0].stages: a candle has one stage or more."),
        ({"items__0__counted": [0, 5, 3]}, "items[0].counted: should begin with 0 and never fall."),
        ({"change_s__0": [0]}, "change_s: should hold a row for every bath"),
        ({"threads": []}, "threads: should hold a number of frames"),
        ({"halves__0__ends": 0}, "halves[0]: should run from second 0 to a later one."),
        ({"baths": "white"}, "baths: should be a list."),
        ({"baths__0": 7}, "baths[0]: should be an object."),
        ({"names": []}, "names: should be an object."),
    ],
)
def test_what_is_wrong_is_said_with_its_place(changes, words):
    with pytest.raises(BadInstance) as refused:
        problem_from_json(broken(**changes))
    assert words in str(refused.value)


@pytest.mark.parametrize("given", ["", "{", "[]", "7", "null", "[" * 100_000])
def test_no_json_or_no_object_is_refused(given):
    with pytest.raises(BadInstance):
        problem_from_json(given)


def test_fields_with_a_default_may_be_left_out():
    given = problem_to_json(rich_floor(1))
    for name in ("vat_pins", "frame_pins", "frozen", "said", "names", "kind"):
        del given[name]
    assert problem_from_json(given).vat_pins == ()
