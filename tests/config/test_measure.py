"""Measures: what a row says, as a table and as JSON lines; names that are not known are refused."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from config.measure import GROUPS
from config.measure.plan_growth import slope
from config.measure.row import Row, as_table, in_figures, middle, spread


def made_up(*, quick):
    yield Row("time", 0.05, "s", 0.01, "s bare", 0.2)
    yield Row("quality", 12, "times", aim=20, at_least=True, note="one seed" if quick else "")
    yield Row("nothing known", None, "%", aim=5)


@pytest.fixture
def group(monkeypatch):
    monkeypatch.setitem(GROUPS, "made up", made_up)


def test_json_lines(group):
    out = StringIO()
    call_command("measure", "made up", "--json", "--quick", stdout=out)
    rows = [json.loads(line) for line in out.getvalue().splitlines()]
    assert [row["met"] for row in rows] == [True, False, False]
    assert rows[0]["ratio"] == pytest.approx(5)
    assert {"name", "value", "unit", "baseline", "ratio", "aim", "met"} <= set(rows[0])
    assert rows[1]["note"] == "one seed"
    assert rows[1]["ratio"] is None


def test_a_table_for_people(group):
    out = StringIO()
    call_command("measure", "made up", stdout=out)
    lines = out.getvalue().splitlines()
    assert lines[0] == "made up"
    assert lines[2].split() == ["time", "0.05", "s", "<=", "0.2", "yes", "0.01", "s", "bare"]
    assert "NO" in lines[3]
    assert ">= 20" in lines[3]


def test_an_unknown_name_is_refused_with_the_known_ones():
    with pytest.raises(CommandError, match=r"called nonsense\. Known: .*plan"):
        call_command("measure", "nonsense")


def test_figures_medians_and_spread():
    assert [in_figures(value) for value in (None, 3.0, 12345, 0.123456, 1234.5)] == [
        "-",
        "3",
        "12,345",
        "0.123",
        "1,234",
    ]
    assert middle([3, None, 1, 2]) == 2
    assert middle([None]) is None
    assert spread([90, 100, 110]) == pytest.approx(0.2)
    assert as_table([])[0].split() == ["value", "aim", "met", "baseline"]
    assert Row("a", 1, "s").met is None


def test_slope_of_a_straight_line():
    assert slope([(0, 1), (1, 3), (2, 5)]) == pytest.approx(2)
    assert slope([(0, 1)]) is None
