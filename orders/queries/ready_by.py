"""When a draft's rows, or a confirmed order's lines, can be ready: from stock, floor and the plan that stands."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from inventory.models import FIRSTS
from inventory.queries.stockroom import free_by_candle
from orders.domain.holding import open_pairs
from orders.models import Order, OrderLine
from orders.ready_words import NO_PLAN, Ready, whole_of
from production.chances import chance_of_firsts
from production.dip_plan.ready_by import Answer
from production.dip_plan.shares import PLAN
from production.models import Frame, HungFor
from production.queries.firsts import firsts_rates
from production.queries.on_floor import promises_by_want
from production.queries.ready_by import Outlook, outlooks
from production.queries.ready_by_plan import ask_plan


def ready_rows(rows: Sequence) -> bool:
    """Puts `ready` beside each understood row of a draft of firsts, whose stock and floor are looked up; and what the
    plan hangs anyway into its cover. Says whether a plan stands.
    """
    answers = ask_plan([(row.candle.pk, row.pairs) for row in rows])
    for row, answer in zip(rows, answers or [None] * len(rows), strict=True):
        row.ready = of_answer(answer) if answer else _without_plan(row.cover.open, [look for _, look in row.hangs])
    return answers is not None


def of_answer(answer: Answer) -> Ready:
    parts = answer.parts
    return Ready(answer.day, answer.chance, answer.binds, parts.get(PLAN, 0), answer.frames, answer.block)


def _without_plan(still_open: int, hangs: Sequence[Outlook]) -> Ready:
    if still_open:
        return Ready(None, None, NO_PLAN)
    days = [look.ready for look in hangs]
    if None in days:
        return Ready(None, None, "a frame on the floor needs a reading, or a recipe, before anybody can tell")
    return Ready(max([timezone.localdate(), *days]), None if days else 1.0, "waits for the floor" if days else "")


@dataclass(frozen=True)
class LineReady:
    """A line of a confirmed order: `stock` sent or set aside, `floor` hung for it, `asked` of stock and plan."""

    line: OrderLine
    stock: int
    floor: int
    asked: int
    ready: Ready


@dataclass(frozen=True)
class OrderReady:
    lines: list[LineReady]
    whole: Ready
    plan: bool


def ready_by_order(order: Order) -> OrderReady:
    """When each line of a confirmed order, and all of it, can be there. Its own wants do not stand before it."""
    lines = [line for line in order.lines.select_related("candle__colour").order_by("position", "pk") if line.pairs]
    hung = promises_by_want(line.want_id for line in lines if line.want_id)
    hangs = {line.pk: sum(p.pairs for p in hung[line.want_id]) if line.want_id else 0 for line in lines}
    looks = outlooks({promise.frame_id: promise.frame for its in hung.values() for promise in its}.values())
    asked = {line.pk: max(0, open_pairs(line) - hangs[line.pk]) for line in lines}
    asking = [line for line in lines if asked[line.pk]]
    answers = _asked(order, asking, asked)
    free = free_by_candle([line.candle_id for line in asking], order.grade) if asking and not answers else {}
    on_floor = _on_floor(lines, hung, looks)
    rows = []
    for line in lines:
        parts = [on_floor[line.pk]] if line.pk in on_floor else []
        if asked[line.pk]:
            answer = answers.get(line.pk) if answers else None
            lies_free = free.get(line.candle_id, 0) >= asked[line.pk]
            free[line.candle_id] = free.get(line.candle_id, 0) - asked[line.pk]
            bare = Ready(timezone.localdate(), 1.0) if lies_free else Ready(None, None, _nobody(order))
            parts.append(of_answer(answer) if answer else bare)
        ready = whole_of(parts) if parts else Ready(timezone.localdate(), 1.0)
        rows.append(LineReady(line, line.sent + line.set_aside, hangs[line.pk], asked[line.pk], ready))
    return OrderReady(rows, whole_of(row.ready for row in rows), answers is not None)


def _asked(order: Order, lines: list[OrderLine], asked: dict[int, int]) -> dict[int, Answer] | None:
    if order.grade != FIRSTS:
        return {}
    own = [line.want_id for line in lines if line.want_id]
    answers = ask_plan([(line.candle_id, asked[line.pk]) for line in lines], leave_out=own)
    return None if answers is None else {line.pk: answer for line, answer in zip(lines, answers, strict=True)}


def _nobody(order: Order) -> str:
    return NO_PLAN if order.grade == FIRSTS else "seconds are nobody's to plan: they come as frames are graded"


def _on_floor(lines: list[OrderLine], hung: dict[int, list[HungFor]], looks: dict[int, Outlook]) -> dict[int, Ready]:
    """By line: when its frames on the floor can be graded, and the chance that they give what they were hung for."""
    rates = firsts_rates({line.candle_id for line in lines if hung.get(line.want_id)})
    found = {}
    for line in lines:
        frames: list[Frame] = [promise.frame for promise in hung.get(line.want_id, ())]
        if not frames:
            continue
        days: list[date | None] = [looks[frame.pk].ready for frame in frames]
        if None in days:
            found[line.pk] = Ready(None, None, "a frame on the floor needs a reading, or a recipe, first")
            continue
        rate, need = rates[line.candle_id], sum(frame.hung_for for frame in frames)
        chance = chance_of_firsts(sum(frame.hung for frame in frames), need, rate.good, rate.of)
        found[line.pk] = Ready(max(days), chance, "waits for the floor")
    return found
