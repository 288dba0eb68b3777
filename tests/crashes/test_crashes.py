"""kill -9 at any moment under load: all that was acknowledged is there, nothing is half there."""

import pytest


def test_five_crashes_lose_nothing(run_on):
    assert "\n5. " in run_on("tests.crashes.run", "5", seconds=300)


@pytest.mark.long
def test_a_hundred_crashes_lose_nothing(run_on):
    assert "\n100. " in run_on("tests.crashes.run", "100", seconds=3000)
