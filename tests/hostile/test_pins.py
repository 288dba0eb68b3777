"""What is installed is what was tested: every package pinned, none brought along unseen, none used unnamed."""

import re
import sys
from importlib.metadata import distribution, packages_distributions
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[2]
RUNS, TESTS = "requirements.txt", "tests/requirements.txt"
APPS = ("config", "inventory", "production", "orders")
IMPORTED = re.compile(r"^ *(?:from (\w+)[\w.]* import|import (\w+))", re.MULTILINE)
# Used for what another takes and gives, in whatever version that one brings.
NAMED_BY_ANOTHER = {"numpy": "ortools", "pydyf": "weasyprint"}


def lines_of(file: str) -> list[str]:
    lines = (ROOT / file).read_text().splitlines()
    return [line for line in lines if line and not line.startswith("#")]


def pins_of(*files: str) -> dict[str, Requirement]:
    found = [Requirement(line) for file in files for line in lines_of(file)]
    return {canonicalize_name(pin.name): pin for pin in found if pin.marker is None or pin.marker.evaluate()}


@pytest.mark.parametrize("file", [RUNS, TESTS])
def test_each_line_is_one_exact_version_from_the_registry(file):
    for line in lines_of(file):
        assert re.fullmatch(r'[\w.-]+(\[\w+\])?==\d[\w.]*(; sys_platform != "win32")?', line), line
    names = [canonicalize_name(Requirement(line).name) for line in lines_of(file)]
    assert len(names) == len(set(names))


def test_what_is_installed_is_what_is_pinned():
    for name, pin in pins_of(RUNS, TESTS).items():
        assert distribution(name).version in pin.specifier, name


@pytest.mark.parametrize("files", [(RUNS,), (RUNS, TESTS)])
def test_nothing_is_brought_along_unpinned(files):
    pins = pins_of(*files)
    for name, pin in pins.items():
        for text in distribution(name).requires or []:
            wanted = Requirement(text)
            extras = pin.extras or {""}
            if wanted.marker is None or any(wanted.marker.evaluate({"extra": extra}) for extra in extras):
                assert canonicalize_name(wanted.name) in pins, f"{name} brings {wanted.name}"


def imported(app: str) -> set[str]:
    sources = (file.read_text() for file in (ROOT / app).rglob("*.py"))
    found = {name for source in sources for names in IMPORTED.findall(source) for name in names if name}
    return found - set(sys.stdlib_module_names) - {*APPS, "tests"}


def test_what_the_house_imports_stands_among_what_it_chose():
    """A package that merely came along with another may be gone with the other's next version."""
    chosen = pins_of(RUNS).keys() - came_along()
    providers = packages_distributions()
    for module in sorted(set().union(*map(imported, APPS))):
        named = {canonicalize_name(name) for name in providers[module]}
        assert named & chosen or NAMED_BY_ANOTHER.get(module) in chosen, module


def came_along() -> set[str]:
    below = (ROOT / RUNS).read_text().partition("# Brought along")[2]
    return {canonicalize_name(line.partition("==")[0]) for line in below.splitlines()[1:] if line}
