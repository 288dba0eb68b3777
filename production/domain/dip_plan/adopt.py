"""A frame threaded takes the place of a planned one: from then on it promises by itself, and the plan knows of it."""

from production.models import DipPlan, Frame, PlannedFrame
from production.queries.planned import TO_HANG


def lock_standing() -> DipPlan | None:
    """The plan that stands, locked, without its long columns; before wants and frames. Needs a transaction."""
    rows = DipPlan.objects.select_for_update().defer("problem", "answer", "facts").filter(stands=True)
    # Where another plan took its place while we waited for the lock, the first look finds neither.
    return rows.first() or rows.first()


def adopt(plan: DipPlan | None, frame: Frame, planned: PlannedFrame | None = None) -> PlannedFrame | None:
    """Let the new frame be `planned`, or else the plan's earliest frame of its candle that nobody threaded yet.

    None where the plan has none left. Needs the plan's lock.
    """
    if plan is None:
        return None
    waiting = TO_HANG.filter(plan=plan, candle=frame.candle_id)
    found = waiting.filter(pk=planned.pk).first() if planned else None
    found = found or waiting.order_by("starts", "number").first()
    if found:
        found.frame = frame
        found.save(update_fields=["frame"])
    return found


def give_back(frame: Frame) -> None:
    """A frame that will never be finished: its place in the plan waits for another one."""
    PlannedFrame.objects.filter(frame=frame).update(frame=None)
