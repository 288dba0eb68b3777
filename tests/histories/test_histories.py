"""Random histories of the workshop against a model in plain Python, and the audit as the referee.

A history that fails is printed step by step; the same steps run again where they stand in a test of their own, with
`state = again(opening)` for their first line. The number of a run is printed with every failure: the same number makes
the same histories (`--history-seed N`).
"""

import pytest
from hypothesis import HealthCheck, Phase, seed, settings
from hypothesis.stateful import run_state_machine_as_test

from tests.histories.history import History
from tests.histories.opening import Opening

# Of the long run: each share is a test of its own, so that they can run side by side.
SHARES, LONG = 50, 1_000
STEPS = 125  # of one history


def again(opening: Opening) -> History:
    """A history to which printed steps can be played."""
    return type("History", (History,), {"opening": opening})()


def tell(opening: Opening, number: int, steps: int, *, audit_every: int = 50) -> None:
    """So many steps at least, in random histories; the same for the same number."""
    kind = type("History", (History,), {"opening": opening, "audit_every": audit_every})
    taken = History.taken()
    told = settings(
        # The first history of every run is the least there is, and worth nothing.
        max_examples=1 + steps // STEPS,
        stateful_step_count=STEPS,
        phases=[Phase.generate, Phase.shrink],
        database=None,
        deadline=None,
        report_multiple_bugs=False,
        suppress_health_check=list(HealthCheck),
    )
    try:
        run_state_machine_as_test(seed(number)(kind), settings=told)
    except BaseException as error:
        error.add_note(f"histories of --history-seed {number}")
        raise
    assert History.taken() - taken >= steps


def test_three_hundred_steps(opening, history_seed):
    tell(opening, history_seed, 3 * STEPS)


@pytest.mark.long
@pytest.mark.parametrize("share", range(SHARES))
def test_fifty_thousand_steps(opening, history_seed, share):
    tell(opening, history_seed + 1 + share, LONG, audit_every=STEPS)
