"""From a bare Python to a running command, without a network: the packages come from a folder of our own."""

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from config import bootstrap, machine
from tests.conftest import ROOT

pytestmark = pytest.mark.sqlite
# Stands where Django would: says what it was asked and ends with the code it is given.
STAND_IN = """
import sys
def execute_from_command_line(argv):
    print("ran", *argv[1:])
    sys.exit(int(argv[2]) if len(argv) > 2 else 0)
"""


def make_wheel(folder: Path) -> None:
    """wick 1.0, a wheel that brings a stand-in `django`."""
    info = "wick-1.0.dist-info"
    with zipfile.ZipFile(folder / "wick-1.0-py3-none-any.whl", "w") as wheel:
        wheel.writestr("django/__init__.py", "")
        wheel.writestr("django/core/__init__.py", "")
        wheel.writestr("django/core/management/__init__.py", STAND_IN)
        wheel.writestr(f"{info}/METADATA", "Metadata-Version: 2.1\nName: wick\nVersion: 1.0\n")
        wheel.writestr(
            f"{info}/WHEEL", "Wheel-Version: 1.0\nGenerator: test\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
        )
        wheel.writestr(f"{info}/RECORD", "")


class Tree:
    """A checkout with nothing set up, whose requirements name one package."""

    def __init__(self, folder: Path):
        self.folder, self.wheels = folder, folder / "wheels"
        for name in ("config", "tests", "wheels"):
            (folder / name).mkdir()
        shutil.copy(ROOT / "manage.py", folder)
        for name in ("__init__", "bootstrap", "machine", "telling"):
            shutil.copy(ROOT / "config" / f"{name}.py", folder / "config")
        self.require("wick==1.0\n")
        make_wheel(self.wheels)

    def require(self, text: str) -> None:
        (self.folder / "requirements.txt").write_text(text)

    def run(self, *arguments: str, python: str | Path = sys.executable, wheels: bool = True):
        env = {name: value for name, value in os.environ.items() if not name.startswith(("WICKTURN", "DJANGO", "PIP"))}
        env |= {"PIP_NO_INDEX": "1", "WICKTURN_DATA": str(self.folder / "book"), "PIP_CONFIG_FILE": os.devnull}
        env |= {"PIP_FIND_LINKS": str(self.wheels)} if wheels else {}
        return subprocess.run(
            [str(python), "manage.py", *arguments],
            cwd=self.folder,
            env=env,
            capture_output=True,
            text=True,
            stdin=subprocess.DEVNULL,
            check=False,
        )

    @property
    def python(self) -> Path:
        return self.folder / bootstrap.PYTHON.relative_to(ROOT)


def test_first_run_sets_up_and_later_ones_stay_out_of_the_way(tmp_path):
    tree = Tree(tmp_path)
    first = tree.run("check", "3")
    assert first.returncode == 3, "the command's own exit code comes back:\n" + first.stderr
    assert "Setting Wickturn up in" in first.stdout
    assert first.stdout.rstrip().endswith("ran check 3")

    # Without the folder of packages pip could install nothing, so this run did not ask it.
    assert tree.run("check", wheels=False).stdout == "ran check\n"
    assert tree.run("check", python=tree.python, wheels=False).stdout == "ran check\n"

    tree.require("wick==2.0\n")
    newer = tree.run("check")
    assert newer.returncode == 1
    assert newer.stderr.startswith("The packages could not be installed. Is this machine online")
    assert "wick==2.0" in newer.stderr
    assert "Traceback" not in newer.stderr

    tree.require("wick==1.0\n")
    next(tree.folder.glob(".venv/**/wick-1.0.dist-info/METADATA")).unlink()
    gone = tree.run("check")
    assert gone.returncode == 1
    assert "should hold wick==1.0 and does not: delete that folder" in gone.stderr


def test_broken_environment_is_made_anew(tmp_path):
    tree = Tree(tmp_path)
    tree.python.parent.mkdir(parents=True)
    tree.python.write_text("")  # what an interrupted set-up may leave
    done = tree.run("check")
    assert done.stdout.rstrip().endswith("ran check"), done.stderr


def test_failed_install_is_a_sentence(tmp_path):
    tree = Tree(tmp_path)
    (tree.folder / ".venv").write_text("in the way")
    done = tree.run("check")
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    assert " said: " in done.stderr


@pytest.mark.parametrize("arguments", [[], ["help"], ["-h"], ["--help"]])
def test_no_command_shows_the_commands_and_sets_nothing_up(arguments, capsys):
    assert bootstrap.main(["manage.py", *arguments]) == 0
    said = capsys.readouterr().out
    for command in ("demo", "serve", "test", "audit"):
        assert f"manage.py {command}" in said


def test_python_that_is_too_old_is_told(monkeypatch, capsys):
    monkeypatch.setattr(sys, "version_info", (3, 10, 9))
    assert bootstrap.main(["manage.py", "demo"]) == 1
    assert capsys.readouterr().err == "Wickturn needs Python 3.11 or newer; this is 3.10.\n"


def test_lacking_packages_are_named(tmp_path, monkeypatch):
    monkeypatch.setattr(bootstrap, "ROOT", tmp_path)
    lines = ["# a comment", f"pytest=={pytest.__version__}", "pluggy==0.0.1", "no-such-thing[extra]==1.0"]
    (tmp_path / "requirements.txt").write_text("\n".join(lines))
    assert bootstrap.find_lacking(["requirements.txt"]) == ["pluggy==0.0.1", "no-such-thing==1.0"]


def test_package_for_other_systems_is_not_lacking_on_windows(tmp_path, monkeypatch):
    monkeypatch.setattr(bootstrap, "ROOT", tmp_path)
    (tmp_path / "requirements.txt").write_text('no-such-thing==1.0; sys_platform != "win32"')
    monkeypatch.setattr(sys, "platform", "win32")
    assert bootstrap.find_lacking(["requirements.txt"]) == []
    monkeypatch.setattr(sys, "platform", "linux")
    assert bootstrap.find_lacking(["requirements.txt"]) == ["no-such-thing==1.0"]


def test_every_requirement_is_pinned_and_understood():
    for file in (bootstrap.RUNS, bootstrap.TESTS):
        for line in (ROOT / file).read_text().splitlines():
            assert line.startswith("#") or "==" in line
    assert bootstrap.find_lacking([bootstrap.RUNS, bootstrap.TESTS]) == []


def test_python_without_venv_names_the_package(monkeypatch):
    monkeypatch.setattr(bootstrap, "find_spec", lambda name: None)
    monkeypatch.setattr(machine, "may_install", lambda: False)
    with pytest.raises(machine.Missing, match=r"apt-get install python3\.\d+-venv"):
        bootstrap.make_venv()


def test_audit_without_a_book_says_how_to_start_one(tmp_path, monkeypatch):
    monkeypatch.setenv("WICKTURN_DATA", str(tmp_path))
    monkeypatch.delenv("DATABASE_URL", raising=False)
    with pytest.raises(machine.Missing, match="There is no book in"):
        bootstrap.choose_book("audit")
    (tmp_path / "demo.sqlite3").touch()
    bootstrap.choose_book("audit")


def test_demo_never_touches_a_named_database(monkeypatch, capsys):
    # Set first, so that monkeypatch knows what to put back.
    for name in ("DATABASE_URL", "WICKTURN_DEMO", "WICKTURN_PLAIN_HTTP"):
        monkeypatch.setenv(name, "postgresql://workshop.example/book" if name == "DATABASE_URL" else "0")
    bootstrap.choose_book("demo")
    assert "DATABASE_URL" not in os.environ
    assert (os.environ["WICKTURN_DEMO"], os.environ["WICKTURN_PLAIN_HTTP"]) == ("1", "1")
    assert "left alone" in capsys.readouterr().out
    bootstrap.choose_book("serve")
    assert os.environ["WICKTURN_DEMO"] == "0"


@pytest.mark.skipif(os.name == "nt", reason="Windows has no signals to pass on")
def test_stopping_us_stops_the_command():
    code = (
        "import subprocess, sys\n"
        "from config.bootstrap import hand_over\n"
        "sys.exit(hand_over([sys.executable, '-c', 'import time; print(1, flush=True); time.sleep(60)']))"
    )
    outer = subprocess.Popen([sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE)
    with outer:
        assert outer.stdout.readline() == b"1\n"
        outer.terminate()
        # The pipe closes only when the inner one is gone as well.
        assert outer.stdout.read() == b""
    assert outer.returncode == 128 + 15


@pytest.mark.parametrize(
    ("files", "named", "demo"),
    [
        ((), False, "False"),
        (("demo.sqlite3",), False, "True"),
        (("book.sqlite3",), False, "False"),
        (("demo.sqlite3", "book.sqlite3"), False, "False"),
        (("demo.sqlite3",), True, "False"),
    ],
)
def test_other_commands_open_ones_own_book_before_the_demo(files, named, demo, tmp_path):
    for name in files:
        (tmp_path / name).touch()
    env = {name: value for name, value in os.environ.items() if name not in ("WICKTURN_DEMO", "DATABASE_URL")}
    env |= {"WICKTURN_DATA": str(tmp_path)} | ({"DATABASE_URL": "sqlite:///named.sqlite3"} if named else {})
    code = "from config import settings; print(settings.IS_DEMO)"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, env=env, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == demo
