"""A floor small enough to plan by hand, for the plan's words and pictures: two days, one vat, ivory and red."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from production.dip_plan.plan import Cost, Fill, Hanging, Plan, Ready, WantGets
from production.dip_plan.problem import Bath, Day, Half, Item, Problem, Stage, Started, Vat, Want

HOUR = 3600
WEDNESDAY = date(2026, 11, 25)
THURSDAY = WEDNESDAY + timedelta(days=1)
NOW = datetime(2026, 11, 25, 8, tzinfo=UTC)


def small_problem(**changes) -> Problem:
    """Wednesday and Thursday from 8 to 16; Friday, Saturday only for hardening."""
    days = tuple(
        Day(NOW.date() + timedelta(days=n), NOW + timedelta(days=n), NOW + timedelta(days=n, hours=8),
            8 * HOUR * n, 8 * HOUR * (n + 1))
        for n in range(4)
    )  # fmt: skip
    halves = tuple(Half(n // 2, 4 * HOUR * n, 4 * HOUR * (n + 1)) for n in range(4))
    stages = {bath: (Stage(bath, 30, 240, 30),) for bath in (0, 1)}
    items = (
        Item(1, "IV250", "Ivory taper", stages[0], 48, (0, 40, 82), 250, 12 * HOUR, 2000),
        Item(2, "RD250", "Red taper", stages[1], 48, (0, 40), 250, 12 * HOUR, 2000),
    )
    wants = (
        Want(11, 0, 60, THURSDAY, 2, "Fern & Flint", "order 1"),
        Want(12, 1, 30, THURSDAY, 1, "The Lamp Room", "order 2"),
    )
    started = (Started(7, "F7", 0, (Stage(0, 10, 240, 30),), 0, 0, (), 0),)
    values = {
        "days": days,
        "halves": halves,
        "baths": (Bath("1:1", "ivory", "#efe3c5", 0), Bath("1:2", "red", "#9c2f2a", 0)),
        "change_s": ((0, 45 * 60), (45 * 60, 0)),
        "vats": (Vat(5, "North vat", 0, 480, 6, "Anvil", frozenset({0, 1})),),
        "items": items,
        "started": started,
        "wants": wants,
        "threads": (8, 8, 8, 8),
        "wax_g": (None,),
    }
    return Problem(**{**values, **changes})


def small_plan(**changes) -> Plan:
    """F7 is finished on Wednesday morning; frames 1 and 2 of ivory hang then, the second through the noon; frame 3 of
    red hangs on Thursday, and its pairs are there on Friday, a day late."""
    hangings = (
        Hanging(0, 0, 0, 0, 0, 0, 0, 0, HOUR, 10, 0),
        Hanging(1, 0, -1, 0, 0, 1, 0, 240, 3 * HOUR, 30, 0),
        Hanging(2, 0, -1, 0, 0, 2, 2 * HOUR, 2 * HOUR + 240, 6 * HOUR, 30, 0),
        Hanging(3, 1, -1, 0, 0, 0, 8 * HOUR + 2700, 8 * HOUR + 2940, 11 * HOUR, 30, 0),
    )
    friday = THURSDAY + timedelta(days=1)
    off = NOW + timedelta(hours=6)
    ready = (
        Ready(0, 0, 0, off, off, THURSDAY, 40),
        Ready(1, 0, -1, off, off, THURSDAY, 40),
        Ready(2, 0, -1, off, off, THURSDAY, 42),
        Ready(3, 1, -1, off, off, friday, 40),
    )
    fills = (Fill(0, 1, 40, THURSDAY), Fill(0, 2, 20, THURSDAY), Fill(1, 3, 30, friday))
    values = {
        "baths": ((0, 0, 1, 1),),
        "hangings": hangings,
        "ready": ready,
        "fills": fills,
        "wants": (WantGets(0, THURSDAY, 0, 0), WantGets(1, friday, 0, 30)),
        "cost": Cost(30, 45, 0, 3045),
        "claimed": 3045,
    }
    return Plan(**{**values, **changes})


def in_time() -> Plan:
    """The same plan with nobody late."""
    plan = small_plan()
    gets = (plan.wants[0], replace(plan.wants[1], done=THURSDAY, late=0))
    return replace(plan, fills=plan.fills[:2], wants=gets, cost=Cost(0, 45, 0, 45))
