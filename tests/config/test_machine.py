"""What the machine must have beside Python."""

import os
import stat

import pytest

from config import bootstrap, machine

pytestmark = pytest.mark.sqlite
ABSENT = machine.Need("Tallow", "It keeps the light on.", "tallow-1", "tallow-f", "tallow-b", "get tallow")


@pytest.fixture
def absent(tmp_path, monkeypatch):
    """A need met once the file `tallow` exists."""
    monkeypatch.setitem(machine.FINDERS, ABSENT, (tmp_path / "tallow").exists)
    return tmp_path / "tallow"


@pytest.fixture
def apt(tmp_path, monkeypatch):
    """Writes an apt-get of our own, first on PATH, and makes us root in its eyes. Gives the log of its calls."""
    if os.name == "nt":
        pytest.fail("apt-get is Debian's; run this test there")
    log = tmp_path / "log"

    def write(body: str):
        tool = tmp_path / "bin" / "apt-get"
        tool.parent.mkdir(exist_ok=True)
        tool.write_text(f'#!/bin/sh\necho "$@" >> {log}\n{body}\n')
        tool.chmod(tool.stat().st_mode | stat.S_IXUSR)
        monkeypatch.setenv("PATH", f"{tool.parent}{os.pathsep}{os.environ['PATH']}")
        monkeypatch.setattr(os, "geteuid", lambda: 0)
        return log

    return write


def test_this_machine_has_what_the_suite_needs():
    for need in machine.FINDERS:
        machine.provide(need)


def test_missing_is_named_for_every_system(absent, monkeypatch):
    monkeypatch.setattr(machine, "may_install", lambda: False)
    with pytest.raises(machine.Missing) as refused:
        machine.provide(ABSENT)
    said = str(refused.value)
    assert said.startswith("Tallow is missing. It keeps the light on.")
    for words in ("apt-get install tallow-1", "dnf install tallow-f", "brew install tallow-b", "get tallow"):
        assert words in said


def test_only_root_installs(monkeypatch):
    monkeypatch.setattr(machine.shutil, "which", lambda tool: "/usr/bin/apt-get")
    monkeypatch.setattr(os, "geteuid", lambda: 1000, raising=False)
    assert not machine.may_install()


def test_root_on_debian_installs(absent, apt, capsys):
    log = apt(f'case "$*" in *install*) touch {absent};; esac')
    machine.provide(ABSENT)
    update, install = log.read_text().splitlines()
    assert update.endswith("update")
    assert install.endswith("install --no-install-recommends tallow-1")
    assert "installing tallow-1 with apt-get" in capsys.readouterr().out


def test_failed_install_says_what_apt_said(absent, apt):
    apt("echo 'E: no such archive'; exit 100")
    with pytest.raises(machine.Missing, match="apt-get said: E: no such archive"):
        machine.provide(ABSENT)


def test_install_that_changed_nothing_is_a_failure(absent, apt):
    apt("exit 0")
    with pytest.raises(machine.Missing, match="still can't be found"):
        machine.provide(ABSENT)


def test_tool_that_is_not_there_is_a_sentence():
    with pytest.raises(machine.Missing, match="no-such-tool could not be started"):
        machine.run(["no-such-tool"])


def test_test_needs_more_than_the_demo():
    assert bootstrap.needs_of("demo") == bootstrap.needs_of("serve") == [machine.PANGO]
    assert bootstrap.needs_of("test") == [machine.PANGO, machine.CHROMIUM, machine.POSTGRESQL]
    assert bootstrap.needs_of("audit") == []


def test_library_that_does_not_exist_does_not_load(monkeypatch):
    monkeypatch.setitem(machine.LIBRARIES, "tallow", ("libtallow.so.0",))
    assert not machine.loads("tallow")
    assert not machine.find_pango()
