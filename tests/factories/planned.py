"""Frames the dip plan will hang, straight into the tables: the plan itself says nothing more than that it stands."""

from datetime import timedelta

from django.utils import timezone

from production.models import DipPlan, FrameKind, PlannedFor, PlannedFrame
from tests.factories.floor import make_carousel, make_frame_kind, make_vat
from tests.factories.house import make_person


def make_standing_plan(**fields) -> DipPlan:
    now = timezone.now()
    values = {"begins": now, "problem": {}, "answer": {}, "made_at": now, "made_by": make_person(), **fields}
    return DipPlan.objects.create(**values)


def make_planned_frame(candle, wants=None, **fields) -> PlannedFrame:
    """To be hung tomorrow and ready in three days, 48 pairs all counted on; `wants`: want -> pairs meant for it."""
    plan = fields.pop("plan", None) or DipPlan.objects.filter(stands=True).first() or make_standing_plan()
    starts = fields.pop("starts", timezone.now() + timedelta(days=1))
    values = {
        "number": plan.frames.count() + 1,
        "kind": FrameKind.objects.first() or make_frame_kind(),
        "pairs": 48,
        "counted": 48,
        "position": plan.frames.count() + 1,
        "starts": starts,
        "first_dip": starts,
        "last_dip": starts + timedelta(hours=5),
        "hard_at": starts + timedelta(days=1),
        "ready_on": (starts + timedelta(days=2)).date(),
        "why": "earliest date first",
        **fields,
    }
    values.setdefault("vat", make_vat(wax=candle.wax, colour=candle.colour))
    values.setdefault("carousel", make_carousel())
    frame = PlannedFrame.objects.create(plan=plan, candle=candle, **values)
    PlannedFor.objects.bulk_create(
        PlannedFor(frame=frame, want=want, pairs=pairs) for want, pairs in (wants or {}).items()
    )
    return frame
