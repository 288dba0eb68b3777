"""Eight people at one SQLite file, each a process as the server's workers are, over all they do in a day."""

import json

import pytest

from tests.load.kept import KINDS
from tests.races.processes import alone, race

pytestmark = pytest.mark.sqlite

# What needs no luck: nobody else can be quicker.
ALWAYS = {"taken", "counted", "paid", "loaded", "edit"}
BEGIN = """
import sys
from tests.load.world import build_world
print(build_world(orders={orders}, frames={frames}, searches={searches}).as_json())
"""
BEFORE = """
import json
from tests.load.clients import day
from tests.load.world import read_world
world = read_world({world!r})
"""
END = """
import json
from tests.load.clients import complaints
with open({file!r}) as file:
    for complaint in complaints(json.load(file)):
        print(complaint)
"""


def work(database, tmp_path, *, seed: str, rounds: int = 1, **world) -> set[str]:
    """Eight people's days, the book looked at after each; the kinds of change they made."""
    begun = alone(database, BEGIN.format(**{"orders": 16, "frames": 8, "searches": 2, **world}))
    names, days = json.loads(begun)["sessions"], []
    for number in range(rounds):
        told = race(
            database,
            *(f"print(json.dumps(day(world, {name!r}, '{seed} {number}')))" for name in names),
            before=BEFORE.format(world=begun),
        )
        days += map(json.loads, told)
        (tmp_path / "days.json").write_text(json.dumps(days))
        assert alone(database, END.format(file=str(tmp_path / "days.json"))) == "", f"seed {seed}, round {number}"
    return {one["kind"] for each in days for one in each["kept"]}


def test_eight_processes_over_all_a_day_brings(file_sqlite, tmp_path):
    assert work(file_sqlite, tmp_path, seed="short") >= ALWAYS


@pytest.mark.long
def test_eight_processes_for_minutes(file_sqlite, tmp_path):
    did = work(file_sqlite, tmp_path, seed="long", rounds=16, orders=40, frames=120, searches=6)
    assert did == {*KINDS, "set aside", "edit"}
