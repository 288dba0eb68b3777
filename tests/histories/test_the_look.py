"""The look after each step sees what a fault of the house would leave behind; steps as they are printed run again."""

from unittest import mock

import pytest

from tests.histories.test_histories import again

pytestmark = pytest.mark.sqlite


def test_printed_steps_run_again(opening):
    state = again(opening)
    state.look()
    state.the_usual(candle=0, pairs=3, shop=0, who=1)
    state.look()
    state.carry_on(order=5, who=1)
    state.look()
    assert len(state.model.orders) == len(opening.model.orders) + 1
    state.teardown()
    assert again(opening).model == opening.model


def test_pairs_released_and_not_freed_are_seen(opening):
    state = again(opening)
    state.count_in(candle=0, days=1, pairs=9, second=False, who=0)
    state.the_usual(candle=0, pairs=3, shop=0, who=1)
    state.look()
    loose = [key for key, (pairs, packed) in sorted(state.model.promises.items()) if pairs > packed]
    with mock.patch("orders.domain.holding.free_pairs"):
        state.release(pairs=6, promise=sorted(state.model.promises).index(loose[0]), who=0)
    with pytest.raises(AssertionError, match=r"lots \d+: the model .*, the book"):
        state.look()
    state.teardown()


def test_what_must_be_refused_and_is_not_is_seen(opening):
    state = again(opening)
    its = state.model.orders_in("confirmed", "cancelled")
    order = next(place for place, one in enumerate(its) if not state.model.waiting(one.key))
    with (
        mock.patch("orders.domain.changing.check_version"),
        pytest.raises(AssertionError, match="was accepted, and had to be refused"),
    ):
        state.call_off(order=order, stale=True, who=0)
    state.teardown()
