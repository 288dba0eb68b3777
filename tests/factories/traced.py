"""Candles that can be traced: frames with what they drew, dipped over a vat, counted off, packed and sent."""

import uuid
from datetime import timedelta

from django.utils import timezone

from inventory.domain.lots import hold_pairs
from inventory.domain.materials import write_material_movement
from inventory.models import Lot
from orders.models import Contact, SetAside
from production.domain.grading import grade_frame
from production.models import Frame, FrameUse, Remelt
from tests.factories.bench import make_bench, make_left, make_packed
from tests.factories.floor import make_frame, make_run
from tests.factories.house import make_person
from tests.factories.materials import make_material_lot
from tests.factories.trade import make_order, make_shop


def make_use(frame: Frame, lot, *, run=None, amount: int = 100, material=None, at=None) -> FrameUse:
    """What a frame drew of a material lot; without a lot, of a material whose lot nobody knows."""
    movement = lot and write_material_movement(lot, "drawn", -amount, reference=frame.code, by=make_person())
    return FrameUse.objects.create(
        frame=frame, run=run, material=material or lot.material, lot=lot, amount=amount, movement=movement,
        at=at or timezone.now(),
    )  # fmt: skip


def make_dipped(candle, vat, *lots, days_ago: float = 5, firsts: int = 40, seconds: int = 0, hung: int = 48) -> Frame:
    """A graded frame that hung over the vat for two hours so many days ago and drew these lots there; what is
    neither firsts nor seconds (bubbles) went to remelt."""
    began = timezone.now() - timedelta(days=days_ago)
    run = make_run(vat=vat, started_at=began, ended_at=began + timedelta(hours=2))
    off = began + timedelta(hours=2)
    frame = make_frame(candle, state="off", hung=hung, dips=30, off_at=off, hard_at=off)
    run.frames.create(frame=frame, dips=30)
    faults = {"bubbles": seconds} if seconds else {}
    grade_frame(
        frame=frame, version=frame.version, firsts=firsts, seconds=faults, remelt=hung - firsts - seconds,
        by=make_person("dipper"),
    )  # fmt: skip
    for lot in lots:
        make_use(frame, lot, run=run)
    frame.refresh_from_db()
    return frame


def make_sent_from(lot: Lot, pairs: int, shop=None, *, by=None, left: bool = True):
    """A delivery of so many pairs of this lot, gone today or only packed, to a shop one can ring up."""
    make_bench()
    by, shop = by or make_person(), shop or make_called_shop()
    order = make_order(shop, [(lot.candle, pairs)], by=by, grade=lot.grade)
    hold_exactly(order, lot, pairs, by)
    return (make_left if left else make_packed)(by, order)


def hold_exactly(order, lot: Lot, pairs: int, by) -> None:
    """Set these pairs of this lot aside, and of no other."""
    lot.refresh_from_db()
    hold_pairs([(lot, pairs)])
    line = order.lines.get()
    SetAside.objects.create(line=line, lot=lot, pairs=pairs, at=timezone.now(), by=by)
    line.set_aside = pairs
    line.save(update_fields=["set_aside"])


def make_called_shop(**fields):
    shop = make_shop(**fields)
    Contact.objects.create(shop=shop, name="Della Finch", does="orders", telephone="01632 960123")
    return shop


def make_remelt(candle, material, amount: int = 5_000, *, at=None) -> Remelt:
    """The tub of the candle's wax and colour, weighed in as a lot of that material."""
    lot = make_material_lot(material, amount, supplier_lot="")
    return Remelt.objects.create(
        lot=lot, wax=candle.wax, colour=candle.colour, grams=amount, submission=uuid.uuid4(),
        person=make_person(), at=at or timezone.now(),
    )  # fmt: skip
