"""Made-up floors: of the sizes they say, the same for the same seed, as loaded as asked, and fit for a file."""

import pytest

from production.dip_plan.codec import problem_from_json, problem_to_json
from production.dip_plan.instances import POSITIONS, SIZES, Size, make


@pytest.mark.parametrize("name", ["small", "season", "mid"])
def test_sizes(name):
    size, problem = SIZES[name], make(name)
    assert len(problem.wants) == size.lines
    assert len(problem.items) == size.items
    assert len(problem.baths) == size.colours
    assert len(problem.vats) == size.vats
    assert len(problem.halves) == 2 * size.days
    assert {want.item for want in problem.wants} == set(range(size.items))


def test_the_same_seed_gives_the_same_floor_and_another_another():
    assert make("season", 7) == make("season", 7)
    assert make("season", 7) != make("season", 8)


@pytest.mark.parametrize("load", [0.55, 0.72])
@pytest.mark.parametrize("turn_minutes", [2, 6])
def test_the_load_is_the_one_asked_for(load, turn_minutes):
    problem = make("season", 1, load, turn_minutes)
    turns = 0
    for at, item in enumerate(problem.items):
        asked = sum(want.pairs for want in problem.wants if want.item == at)
        frames = next(n for n, firsts in enumerate(item.counted) if firsts >= asked)
        turns += frames * (item.stages[0].dips + 1)
    assert turns * turn_minutes * 60 / (len(problem.vats) * POSITIONS * problem.horizon) == pytest.approx(
        load, abs=0.01
    )


def test_days_and_half_days_add_up():
    problem = make("small", week=5)
    assert all(day.date.weekday() < 5 for day in problem.days)
    assert all((day.closes - day.opens).total_seconds() == day.ends - day.starts for day in problem.days)
    assert problem.horizon == problem.days[problem.halves[-1].day].ends
    assert len(problem.days) > problem.halves[-1].day + 1


def test_whole_orders_on_request():
    assert not any(want.whole for want in make("small").wants)
    whole = [want for want in make("season", whole=0.5).wants if want.whole]
    assert whole
    assert all(want.group == want.label for want in whole)


def test_what_is_unknown_or_senseless_is_refused():
    with pytest.raises(ValueError, match="no size 'huge'"):
        make("huge")
    for senseless in ({"load": 0}, {"load": -1}, {"turn_minutes": 0}):
        with pytest.raises(ValueError, match="above 0"):
            make("small", **senseless)


def test_one_s_own_size_goes_through_a_file():
    problem = make(Size(5, 2, 2, 1, 2), 3)
    assert problem_from_json(problem_to_json(problem)) == problem
