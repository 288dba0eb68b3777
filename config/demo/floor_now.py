"""What hangs on the demo's floor this moment: frames for open wants, and a run in every stage of its life."""

import random
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from django.utils import timezone

from config.demo.floor import Works
from config.demo.floor_year import SCATTER_MM, Dipping
from inventory.models import Candle
from production.domain.frames import hang_frame, take_off, thread_frame
from production.domain.runs import begin_run, end_run, rest
from production.domain.turns import count_turn
from production.models import Carousel, DipRun, Frame, FrameKind, GaugeReading, RunFrame, Vat, VatReading, Want
from production.queries.firsts import firsts_expected
from production.queries.on_floor import on_floor_by_want

TURN = timedelta(minutes=4)
COLOURED = "Paraffin, dipping blend"
SET_C = {COLOURED: "68", "Stearin blend": "66", "Beeswax": "73"}


@dataclass(frozen=True)
class _Hands:
    """Who works on the floor, and with what."""

    rng: random.Random
    works: Works
    dippers: Sequence
    now: datetime


def hang_the_floor(rng: random.Random, *, works: Works, owner, dippers) -> None:
    """Frames in every stage: threaded, just begun, half grown, nearly at gauge, waiting, hardening, ready to grade."""
    hands = _Hands(rng, works, dippers, timezone.now())
    north, south, deep = works.vats[COLOURED] + works.vats["Stearin blend"]
    lines = {vat: _Line(hands, candles) for vat, candles in _fill_vats(north, south, deep).items()}
    anvil, bellows, cradle, drum, easel, _ = works.carousels
    _finished(hands, easel, south, lines[south], frames=3, off=timedelta(hours=50))
    _finished(hands, easel, south, lines[south], frames=2, off=timedelta(hours=5))
    waiting = _run(hands, drum, north, lines[north], frames=3, turns=0.97, read=(0.4, 0.8), ago=timedelta(hours=7))
    Frame.objects.filter(carousel=drum).update(done=True)
    end_run(run=waiting, by=dippers[0], now=hands.now - timedelta(hours=4))
    _run(hands, anvil, north, lines[north], frames=5, turns=0.88, read=(0.3, 0.6, 0.85), ago=timedelta(hours=3))
    half = _run(hands, bellows, south, lines[south], frames=4, turns=0.45, read=(0.25, 0.45), ago=timedelta(hours=4))
    rest(run=half, by=dippers[1], now=hands.now - timedelta(hours=1))
    _run(hands, cradle, deep, lines[deep], frames=3, turns=0.12, read=(), ago=timedelta(minutes=40))
    for line in (lines[north], lines[deep]):
        line.thread(hands.now - timedelta(minutes=20))
    _read_vats(hands, (north, south, deep))


def _fill_vats(north: Vat, south: Vat, deep: Vat) -> dict[Vat, list[Candle]]:
    """Fill each vat with the shade that is wanted most; the candles of that shade, the most wanted first."""
    wanted = defaultdict(int)
    for want in Want.objects.select_related("candle__wax", "candle__colour"):
        wanted[want.candle] += want.pairs
    shades = defaultdict(list)
    for candle in sorted(wanted, key=lambda candle: (-wanted[candle], candle.pk)):
        shades[candle.wax, candle.colour].append(candle)
    in_turn = sorted(shades, key=lambda shade: -sum(wanted[candle] for candle in shades[shade]))
    coloured = [shade for shade in in_turn if shade[0].name == COLOURED]
    others = [shade for shade in in_turn if shade[0].name != COLOURED]
    found = {}
    for vat, shade in zip((north, south, deep), (*coloured[:2], others[0]), strict=True):
        vat.wax, vat.colour = shade
        vat.set_c = Decimal(SET_C[vat.wax.name])
        vat.save()
        found[vat] = [candle for candle in shades[shade] if candle.length_mm <= vat.depth_mm - vat.keep_mm]
    return found


class _Line:
    """Threads frames of one shade for the wants that wait, and for the shelf when none does."""

    def __init__(self, hands: _Hands, candles: list[Candle]):
        self.hands, self.candles = hands, candles
        wants = Want.objects.filter(candle__in=candles).order_by("wanted_by", "rank", "pk")
        hangs = on_floor_by_want(wants)
        self.left = {want: want.pairs - hangs.get(want.pk, 0) for want in wants}
        self._turn = self._candles()

    def _candles(self) -> Iterator[Candle]:
        """The candle whose wants lack most, each time anew."""
        while True:
            lacks = {c: sum(n for want, n in self.left.items() if want.candle_id == c.pk) for c in self.candles}
            yield max(self.candles, key=lambda candle: lacks[candle])

    def thread(self, now: datetime) -> Frame:
        candle, works = next(self._turn), self.hands.works
        hung = works.load(candle)
        room, wants = firsts_expected(candle.pk, hung), {}
        for want, lacks in self.left.items():
            if want.candle_id == candle.pk and (pairs := min(room, lacks)) > 0:
                wants[want] = pairs
                room -= pairs
                self.left[want] -= pairs
        by = self.hands.rng.choice(self.hands.dippers)
        kind: FrameKind = works.kind_for(candle)
        return thread_frame(candle=candle, kind=kind, hung=hung, wants=wants or None, by=by, now=now)


def _run(hands, carousel: Carousel, vat: Vat, line: _Line, *, frames, turns, read, ago) -> DipRun:
    """A run begun `ago` with so many frames, `turns` of their dips done, gauged at the shares `read` of them."""
    start, by = hands.now - ago, hands.rng.choice(hands.dippers)
    run = begin_run(carousel=carousel, vat=vat, turn_minutes=Decimal(4), by=by, now=start)
    hung = [line.thread(start - timedelta(minutes=30)) for _ in range(frames)]
    for position, frame in enumerate(hung, start=1):
        hang_frame(frame=frame, carousel=carousel, position=position, by=by, now=start)
    dippings = [Dipping(frame.candle) for frame in hung]
    lines = [dipping.of_frame(hands.rng, timezone.localdate(start)) for dipping in dippings]
    done = max(2, round(turns * min(dips for _, dips in lines)))
    # All but the last turns straight into the rows: the last ones are steps that can be undone.
    direct = done - 2
    DipRun.objects.filter(pk=run.pk).update(turns=direct)
    Frame.objects.filter(pk__in=[frame.pk for frame in hung]).update(dips=direct, stage_dips=direct)
    RunFrame.objects.filter(run=run).update(dips=direct)
    rows = []
    for frame, dipping, (growth, dips) in zip(hung, dippings, lines, strict=True):
        for share in read:
            after = min(direct, round(dips * share))
            mm = dipping.start + growth * after + hands.rng.gauss(0, SCATTER_MM)
            rows.append(
                GaugeReading(
                    frame=frame,
                    run=run,
                    stage=1,
                    dips=after,
                    mm=Decimal(f"{mm:.2f}"),
                    person=by,
                    at=start + TURN * after,
                )
            )
    GaugeReading.objects.bulk_create(rows)
    for turn in (direct + 1, done):
        count_turn(run=run, by=by, now=start + TURN * turn)
    run.refresh_from_db()
    return run


def _finished(hands: _Hands, carousel: Carousel, vat: Vat, line: _Line, *, frames: int, off: timedelta) -> None:
    """A run that is over: its frames are off and harden, or are hard by now."""
    begun = off + timedelta(hours=3)
    run = _run(hands, carousel, vat, line, frames=frames, turns=0.97, read=(0.3, 0.6, 0.95), ago=begun)
    hung = list(Frame.objects.filter(carousel=carousel))
    for frame in hung:
        finish = Dipping(frame.candle).finish_dips
        if finish:
            changed = {"stage": 2, "dips": frame.dips + finish, "stage_dips": finish}
            Frame.objects.filter(pk=frame.pk).update(**changed)
            RunFrame.objects.filter(run=run, frame=frame).update(dips=frame.dips + finish)
        take_off(frame=frame, by=hands.dippers[0], now=hands.now - off)
    end_run(run=run, by=hands.dippers[0], now=hands.now - off)


def _read_vats(hands: _Hands, vats: Sequence[Vat]) -> None:
    """Heat read morning and evening through the last fortnight; now and then a top-up."""
    rows = []
    for vat in vats:
        for days in range(14, 0, -1):
            day = hands.now - timedelta(days=days)
            if day.weekday() > 4:
                continue
            for hour in (8, 15):
                celsius = float(vat.set_c) + hands.rng.gauss(0.3, 1.2)
                rows.append(
                    VatReading(
                        vat=vat,
                        kind="heat",
                        celsius=Decimal(f"{celsius:.1f}"),
                        person=hands.dippers[0],
                        at=timezone.localtime(day).replace(hour=hour, minute=5, second=0, microsecond=0),
                    )
                )
    VatReading.objects.bulk_create(rows)
