"""Daily copies: that each day has one, what becomes of it when it fails, and that Today says so."""

import errno
import json
import os
import threading
import zipfile
from datetime import date, datetime, timedelta
from types import SimpleNamespace

import pytest
from django.core.management import call_command
from django.db import DatabaseError
from django.urls import reverse
from django.utils import timezone

from config.templatetags.wickturn import newest_copy
from config.whole_copy import daily, making
from config.whole_copy.alone import alone
from config.whole_copy.keeping import days_in, name_of, staying
from config.whole_copy.words import ELSEWHERE, Known
from tests.config.test_copies_kept import DAY, days_before
from tests.factories import make_person


def moment(day: date = DAY, hour: int = 0) -> datetime:
    return datetime(day.year, day.month, day.day, hour, 1, tzinfo=timezone.get_current_timezone())


# Made each day


@pytest.fixture
def folder(tmp_path, settings):
    """The default folder of a book of its own, not made yet."""
    settings.DATA_DIR, settings.IS_DEMO = tmp_path, False
    settings.COPIES = settings.OWN_COPIES = tmp_path / "copies"
    return settings.COPIES


@pytest.fixture
def made(monkeypatch):
    """Copies are empty files, made at the minute the test looks; the list says which were asked for."""
    asked = []

    def make(to):
        asked.append(to.name)
        to.touch()

    monkeypatch.setattr(daily, "make_copy", make)
    return asked


@pytest.fixture
def failing(monkeypatch):
    """`failing(error)`: no copy can be made from now on."""

    def fail(error):
        def make(to):
            raise error

        monkeypatch.setattr(daily, "make_copy", make)

    return fail


@pytest.mark.django_db(transaction=True)
def test_the_days_copy_is_a_whole_copy_that_can_be_brought_back(folder):
    make_person("owner")
    assert daily.look_after_copies(moment()).day == DAY
    with zipfile.ZipFile(folder / name_of(DAY)) as archive:
        assert json.loads(archive.read("manifest.json"))["tables"]["config.person"]["rows"] == 1
    assert folder.stat().st_mode & 0o077 == 0


def test_a_day_has_one_copy_and_the_next_day_another(folder, made):
    for now in (moment(hour=0), moment(hour=1), moment(hour=23), moment(DAY + timedelta(days=1))):
        assert daily.look_after_copies(now).wrong == ""
    assert made == [name_of(DAY), name_of(DAY + timedelta(days=1))]
    assert daily.newest_known().day == DAY + timedelta(days=1)


def test_thinning_out_leaves_alone_what_is_not_a_daily_copy(folder, made):
    folder.mkdir()
    others = ["notes.txt", "book-2020-01-01.wickturn.bak", "season.wickturn", "book-2020-13-01.wickturn"]
    for name in [*others, *map(name_of, days_before(100, DAY - timedelta(days=1)))]:
        (folder / name).touch()
    # Not even where a folder bears such a name.
    (folder / name_of(date(2020, 1, 1))).mkdir()
    daily.look_after_copies(moment())
    assert days_in(folder) == staying(days_before(101), DAY)
    assert {*others, name_of(date(2020, 1, 1))} <= {path.name for path in folder.iterdir()}


def test_a_clock_set_back_makes_the_copy_of_its_day_and_keeps_the_others(folder, made):
    daily.look_after_copies(moment(DAY + timedelta(days=300)))
    assert daily.look_after_copies(moment()).day == DAY
    assert days_in(folder) == {DAY, DAY + timedelta(days=300)}


def test_the_demo_keeps_no_copies(folder, made, settings):
    settings.IS_DEMO = True
    assert daily.look_after_copies(moment()) is None
    assert (made, list(folder.parent.iterdir())) == ([], [])


def test_what_a_killed_worker_left_goes_and_what_another_is_writing_stays(folder, made):
    folder.mkdir()
    dead, alive = (folder / f"{name_of(DAY)}.{pid}.part" for pid in (7, 8))
    for draft in (dead, alive):
        draft.touch()
    os.utime(dead, (0, 0))
    daily.look_after_copies(moment())
    assert (dead.exists(), alive.exists()) == (False, True)


def test_two_workers_make_one_copy(folder, made, monkeypatch):
    make, begun, other_looked = daily.make_copy, threading.Event(), threading.Event()

    def make_slowly(to):
        begun.set()
        assert other_looked.wait(20)
        make(to)

    monkeypatch.setattr(daily, "make_copy", make_slowly)
    first = threading.Thread(target=daily.look_after_copies, args=[moment()])
    first.start()
    assert begun.wait(20)
    assert daily.look_after_copies(moment()) is None
    other_looked.set()
    first.join(20)
    assert made == [name_of(DAY)]
    with alone(folder.parent / "copies.lock") as mine:
        assert mine, "the lock is let go of"


def test_servers_that_share_a_folder_have_one_copy(folder, failing):
    folder.mkdir()

    def quicker(to):
        to.touch()
        raise FileExistsError(to)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(daily, "make_copy", quicker)
        known = daily.look_after_copies(moment())
    assert (known.day, known.wrong) == (DAY, "")


@pytest.mark.django_db(transaction=True)
def test_a_disk_without_second_names_holds_copies_too(tmp_path, monkeypatch):
    def refuse(*names):
        raise PermissionError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(making.os, "link", refuse)
    making.make_copy(tmp_path / "a.wickturn")
    with zipfile.ZipFile(tmp_path / "a.wickturn") as archive:
        assert archive.testzip() is None
    assert [path.name for path in tmp_path.iterdir()] == ["a.wickturn"]


# When it fails


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (OSError(errno.ENOSPC, "No space left on device"), "there is no room left in"),
        (PermissionError(errno.EROFS, "Read-only file system"), "Wickturn may not write in"),
        (OSError(errno.EIO, "Input/output error"), "cannot be written (Input/output error)"),
        (DatabaseError("disk image is malformed"), "the book could not be read (disk image is malformed)"),
        (ZeroDivisionError(), "the book could not be read (ZeroDivisionError)"),
    ],
)
def test_a_copy_that_fails_keeps_the_old_ones_and_its_reason(folder, failing, error, said):
    folder.mkdir()
    old = days_before(30, DAY - timedelta(days=1))
    for day in old:
        (folder / name_of(day)).touch()
    failing(error)
    known = daily.look_after_copies(moment())
    assert days_in(folder) == old
    assert said in known.wrong
    assert known.day == DAY - timedelta(days=1)
    assert daily.newest_known() == known


def test_a_disk_not_plugged_in_is_said_and_not_written_beside(folder, made, settings):
    disk = settings.COPIES = folder.parent / "disk"
    disk.mkdir()
    daily.look_after_copies(moment())
    (disk / name_of(DAY)).unlink()
    disk.rmdir()
    known = daily.look_after_copies(moment(DAY + timedelta(days=1)))
    assert f"the folder {disk} is not there. Plug its disk in" in known.wrong
    assert (known.day, disk.exists(), made) == (DAY, False, [name_of(DAY)])
    disk.mkdir()
    assert daily.look_after_copies(moment(DAY + timedelta(days=1))).wrong == ""


def test_the_worker_looks_each_minute_and_after_a_failure_less_often(monkeypatch):
    results, waits = [Known(DAY), Known(wrong="full"), None, OSError("read-only")], []

    def sleep(seconds):
        waits.append(seconds)
        if not results:
            raise SystemExit

    def look(now):
        found = results.pop(0)
        if isinstance(found, OSError):
            raise found
        return found

    monkeypatch.setattr(daily.time, "sleep", sleep)
    monkeypatch.setattr(daily.connection, "close", lambda: None)
    monkeypatch.setattr(daily, "look_after_copies", look)
    with pytest.raises(SystemExit):
        daily.keep_copies(15)
    assert waits == [15, 60, 300, 60, 60]


@pytest.mark.parametrize("beside_server", [True, False])
def test_the_worker_beside_the_server_keeps_copies(monkeypatch, beside_server):
    from config.management.commands import worker

    started = []

    class Thread:
        def __init__(self, *how, target=None, args=(), **options):
            started.append((target, *args))

        def start(self):
            pass

    monkeypatch.setattr(worker, "threading", SimpleNamespace(Thread=Thread, Timer=Thread))
    for name in ("end_with_parent", "stop_orphans", "send_waiting", "call_command"):
        monkeypatch.setattr(worker, name, lambda *how, **options: None)
    for name in ("configure_signals", "run"):
        monkeypatch.setattr(worker.FloorWorker, name, lambda self: None)
    monkeypatch.setattr(worker, "signal", SimpleNamespace())
    call_command("worker", beside_server=beside_server)
    assert ((daily.keep_copies, worker.READY_AFTER_S) in started) is beside_server


# What Today says


@pytest.mark.django_db
def test_today_tells_how_old_the_newest_is_and_what_failed(client_for, folder, made, failing):
    now, owner = timezone.localtime(), client_for("owner")
    daily.look_after_copies(now)
    quiet = '<p class="quiet-line">The newest copy of the book is of t'
    assert quiet in owner.get(reverse("today")).content.decode()
    failing(OSError(errno.ENOSPC, "No space left on device"))
    daily.look_after_copies(now + timedelta(days=1))
    page = owner.get(reverse("today")).content.decode()
    assert f"there is no room left in {folder}. Make room there" in page
    assert quiet not in page


@pytest.mark.django_db
def test_the_owner_alone_is_told_and_not_of_the_demo(folder, settings):
    owner, packer = (SimpleNamespace(user=make_person(role)) for role in ("owner", "packer"))
    assert newest_copy({"request": owner})["sentence"].startswith("No copy of the book yet")
    assert not newest_copy({"request": packer})
    settings.WORKER_ELSEWHERE = True
    assert newest_copy({"request": owner}) == {"sentence": ELSEWHERE, "presses": False}
    settings.IS_DEMO = True
    assert not newest_copy({"request": owner})


@pytest.mark.parametrize("kept", ["", "[]", '{"day": "yesterday"}', '{"day": 7, "hour": 1, "wrong": ""}'])
def test_what_is_known_may_be_lost_and_no_page_falls(folder, kept):
    daily._file().write_text(kept)
    assert daily.newest_known() == Known()
