"""A copy is made while four people write, and is brought back elsewhere: one moment, every row, the audit silent."""

import threading
from pathlib import Path

import pytest
from django.db import connection, transaction

from config.migrated import copy_migrated, make_migrated_file
from config.whole_copy import making
from config.whole_copy.making import make_copy
from config.whole_copy.restoring import restore_copy
from config.whole_copy.rows import label_of
from inventory.domain.lots import adjust_lot
from inventory.models import Lot, Movement
from orders.domain.setting_aside import set_aside_order, sync_wants
from orders.models import Invoice
from tests.config.books import audit, led_to, manage, manifest_of, new_on_server, tables_in
from tests.factories import make_candle, make_lot, make_order, make_shop
from tests.factories import season as season_factory
from tests.factories.season import make_season, ship_and_invoice

LONGEST = 60
# Between these everybody writes once more: the copy has the earlier tables by then, and not the later ones.
MEANWHILE = {"inventory.movement", "orders.invoice", "orders.setaside"}
pytestmark = pytest.mark.django_db(transaction=True)


class Writers:
    """Four people at work from `with` to its end; `once_more` waits until each has written again."""

    def __init__(self, *acts):
        self.acts, self.done, self.failed = acts, [0] * len(acts), []
        self.stop, self.wrote = threading.Event(), threading.Condition()
        self.threads = [threading.Thread(target=self.work, args=[place]) for place in range(len(acts))]

    def work(self, place: int) -> None:
        try:
            while not self.stop.is_set():
                self.acts[place]()
                with self.wrote:
                    self.done[place] += 1
                    self.wrote.notify_all()
        except Exception as failed:  # noqa: BLE001 - told by the test
            self.failed.append(failed)
        finally:
            connection.close()

    def once_more(self) -> None:
        before = list(self.done)
        with self.wrote:
            self.wrote.wait_for(
                lambda: self.failed or all(now > then for now, then in zip(self.done, before, strict=True)), LONGEST
            )

    def __enter__(self):
        for thread in self.threads:
            thread.start()
        self.once_more()
        return self

    def __exit__(self, *wrong):
        self.stop.set()
        for thread in self.threads:
            thread.join(LONGEST)
        assert not self.failed, self.failed


@pytest.fixture
def busy_copy(tmp_path, monkeypatch) -> Path:
    """A season's copy, made while two send and invoice, one takes orders and one counts."""
    season, lines_of = make_season(), making.lines_of
    (one, two, three), by = (make_candle() for _ in range(3)), season.by
    shops, lot, plenty = [make_shop(), make_shop()], make_lot(pairs=10, by=by), make_lot(three, 9000, by=by)
    taking = threading.Lock()

    def take_order(*what, **how):
        # The factory takes no lock and is no transaction, which the house's own way is.
        with taking, transaction.atomic():
            sync_wants(order := make_order(*what, **how))
            return order

    monkeypatch.setattr(season_factory, "make_order", take_order)
    monkeypatch.setattr(season_factory, "make_lot", transaction.atomic(make_lot))
    writers = Writers(
        lambda: ship_and_invoice(shops[0], one, by, 6),
        lambda: ship_and_invoice(shops[1], two, by, 6),
        lambda: set_aside_order(order=take_order(shops[0], [(plenty.candle, 6)], by=by), by=by),
        lambda: adjust_lot(lot=lot, kind="returned", pairs=1, reason="found behind the rack", by=by),
    )

    def lines_meanwhile(model):
        yield from lines_of(model)
        if label_of(model) in MEANWHILE:
            writers.once_more()

    monkeypatch.setattr(making, "lines_of", lines_meanwhile)
    with writers:
        before = Movement.objects.count(), Invoice.objects.count()
        make_copy(tmp_path / "busy.wickturn")
    rows = {label: part["rows"] for label, part in tables_in(tmp_path / "busy.wickturn").items()}
    # All that was written before it began, and nothing of what came while it was made.
    assert before <= (rows["inventory.movement"], rows["orders.invoice"])
    assert Movement.objects.count() >= rows["inventory.movement"] + 3 * len(MEANWHILE)
    assert Invoice.objects.count() > rows["orders.invoice"]
    monkeypatch.undo()
    return tmp_path / "busy.wickturn"


@pytest.mark.sqlite
def test_what_was_copied_while_four_wrote_comes_back_whole(busy_copy, tmp_path):
    copy_migrated(tmp_path / "other.sqlite3")
    with led_to(str(tmp_path / "other.sqlite3")):
        restore_copy(busy_copy)
        assert audit() == []
        assert Lot.objects.exists()
        make_copy(tmp_path / "again.wickturn")
    assert tables_in(tmp_path / "again.wickturn") == tables_in(busy_copy)


@pytest.mark.postgresql
def test_it_goes_from_postgresql_into_sqlite_row_by_row(busy_copy, tmp_path):
    make_migrated_file()
    copy_migrated(tmp_path / "other.sqlite3")
    goes_through(f"sqlite:///{tmp_path}/other.sqlite3", busy_copy, tmp_path / "again.wickturn")


@pytest.mark.postgresql
@pytest.mark.long  # the tables of two whole databases are laid out for it
def test_it_goes_to_a_machine_where_nothing_is_and_back_into_postgresql(busy_copy, tmp_path):
    nowhere = tmp_path / "a" / "new" / "machine"
    goes_through("", busy_copy, tmp_path / "sqlite.wickturn", WICKTURN_DATA=str(nowhere))
    assert (nowhere / "book.sqlite3").stat().st_size
    with new_on_server(f"{connection.settings_dict['NAME']}_copy") as address:
        goes_through(address, tmp_path / "sqlite.wickturn", tmp_path / "postgresql.wickturn")
    assert manifest_of(tmp_path / "postgresql.wickturn")["leaves"] == manifest_of(busy_copy)["leaves"]


def goes_through(database: str, copy: Path, again: Path, **env: str) -> None:
    """The copy is brought back there, the audit is silent, and a copy made there holds the very same rows."""
    assert "rows as they were on" in manage(database, "restore", copy, **env)
    assert "No breach found" in manage(database, "audit", **env)
    manage(database, "backup", again, **env)
    assert tables_in(again) == tables_in(copy)
