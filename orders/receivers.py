"""Where orders listen to the floor. A receiver that fails rolls back what it was told of."""

from django.dispatch import receiver

from orders.domain.grading import lock_above, set_aside_frame
from production.signals import frame_graded, grading_begins


@receiver(grading_begins, dispatch_uid="orders.lock_above")
def lock_what_waits(sender, *, wants, **_) -> set[int]:
    return lock_above(wants)


@receiver(frame_graded, dispatch_uid="orders.set_aside_frame")
def give_to_orders(sender, *, frame, lot, pairs, wants, by, **_) -> dict[int, int]:
    return set_aside_frame(frame=frame, lot=lot, pairs=pairs, wants=wants, by=by)
