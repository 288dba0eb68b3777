"""The opened book, once a test: histories begin on it and are rolled back to it."""

import pytest

from tests.histories.clock import Clock


@pytest.fixture
def opening(db):
    # Not above: this file may be read before Django is set up.
    from tests.histories.first_weeks import play_first_weeks
    from tests.histories.opening import open_book

    with Clock().instead_of_ours() as clock:
        opened = open_book(clock)
        play_first_weeks(opened)
        yield opened


@pytest.fixture
def history_seed(request) -> int:
    return request.config.getoption("history_seed")
