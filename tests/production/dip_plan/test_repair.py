"""A plan mended after a change: no worse than left alone, and what is frozen stays."""

from dataclasses import replace

import pytest

from production.dip_plan import repair as repairing
from production.dip_plan.check import faults
from production.dip_plan.construct import construct
from production.dip_plan.instances import Size, make
from production.dip_plan.problem import Frozen, VatPin
from production.dip_plan.repair import repair
from production.dip_plan.simulate import simulate
from tests.production.dip_plan.rich_floors import rich_floor


@pytest.fixture(autouse=True)
def few_moves(monkeypatch):
    monkeypatch.setattr(repairing, "MOST_MOVES", 100)


@pytest.fixture(scope="module")
def planned():
    problem = make(Size(12, 5, 3, 2, 6), seed=3)
    return problem, construct(problem)


@pytest.mark.parametrize("want", range(2))
def test_it_is_no_worse_than_the_earlier_baths_left_alone(planned, want):
    problem, earlier = planned
    wants = list(problem.wants)
    wants[want] = replace(wants[want], pairs=wants[want].pairs * 2, due=problem.days[1].date)
    changed = replace(problem, wants=tuple(wants))
    mended = repair(changed, earlier)
    assert mended.cost.total <= simulate(changed, earlier.baths).cost.total
    assert faults(changed, mended) == []
    assert mended == repair(changed, earlier.baths)


def test_pins_and_frozen_half_days_are_kept(planned):
    problem, earlier = planned
    frozen = Frozen(2, tuple(row[:2] for row in earlier.baths))
    other = (earlier.baths[0][5] + 1) % len(problem.baths)
    changed = replace(problem, frozen=frozen, vat_pins=(VatPin(0, 5, other),))
    mended = repair(changed, earlier)
    assert mended.baths[0][5] == other
    assert tuple(row[:2] for row in mended.baths) == frozen.baths


def test_a_plan_of_fewer_half_days_or_vats_is_carried_on(planned):
    problem, earlier = planned
    mended = repair(problem, [row[:4] for row in earlier.baths][:1])
    assert faults(problem, mended) == []


@pytest.mark.parametrize("seed", range(6))
def test_floors_with_everything_are_mended_without_fault(seed):
    problem = rich_floor(seed)
    assert faults(problem, repair(problem, construct(problem))) == []
