"""Two servers and a worker on one PostgreSQL under load, one server killed: the other answers on."""

import pytest


@pytest.mark.postgresql
def test_one_of_two_servers_is_killed_and_the_book_goes_on(run_on):
    assert "The other goes on" in run_on("tests.crashes.two_servers", seconds=300)
