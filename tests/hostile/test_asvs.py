"""The table against OWASP's ASVS in DEVELOPERS.md says where each point stands, and names tests that are there."""

import re
from functools import cache
from pathlib import Path

import pytest

pytestmark = pytest.mark.sqlite
ROOT = Path(__file__).resolve().parents[2]
VERDICTS = {"met", "in part", "not met", "does not apply"}


def rows() -> list[list[str]]:
    section = (ROOT / "DEVELOPERS.md").read_text().partition("## OWASP ASVS level 2")[2].partition("\n## ")[0]
    lines = [line.strip("|").split("|") for line in section.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line] for line in lines[2:]]


@cache
def source(path: str) -> str:
    return (ROOT / "tests" / path).read_text()


def test_each_row_says_where_it_stands_and_why():
    assert {int(n) for row in rows() for n in re.findall(r"(\d+)(?:\.\d+)*", row[0])} >= set(range(1, 15))
    for number, asked, verdict, why in rows():
        assert verdict in VERDICTS, number
        assert asked, number
        assert why, number
        if verdict == "met":
            assert "`" in why or "read" in why, f"{number} is met, and nothing shows it"


def test_each_test_it_names_is_there():
    named = [name for row in rows() for name in re.findall(r"`([\w/]+\.py)(?:::(\w+))?`", row[3])]
    named = [(path, test) for path, test in named if path.rpartition("/")[2].startswith("test_")]
    assert len(named) > 60
    for path, test in named:
        assert not test or f"\ndef {test}(" in source(path), f"{path}::{test}"
        assert source(path), path
