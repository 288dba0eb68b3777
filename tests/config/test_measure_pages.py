"""The pages' measure runs: house and bare view are asked, and ten years cost no query more."""

import pytest

from config.measure import pages, server


def test_pages_are_held_against_bare_ones_and_against_their_own_past(django_db_blocker):
    with django_db_blocker.unblock():
        rows = {row.name: row for row in pages.rows(quick=True)}
    for page in ("order book", "stockroom", "order page"):
        assert rows[f"{page} over a bare view"].value > 0
        assert rows[f"{page} at ten years over one"].aim == 1.3
        assert rows[f"{page} at ten years: queries more than at one"].value == 0
    assert len(rows) == 9


@pytest.mark.long
def test_a_server_is_started_and_its_workers_weighed(django_db_blocker):
    with django_db_blocker.unblock():
        first, memory = server.rows(quick=True)
    assert first.value > 0
    assert memory.value is None or memory.value > 20
