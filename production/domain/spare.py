"""Frames that hang for the shelf are hung for whoever comes to want them."""

from collections.abc import Iterable

from django.db import transaction

from production.domain.wants import lock_wants
from production.models import Frame, HungFor, Want
from production.queries.on_floor import living_frames, on_floor_by_want
from production.queries.spare import spare_of


@transaction.atomic
def hang_spare_for(wants: Iterable[int]) -> int:
    """Promise what frames of these candles are expected to give beyond what they hang for; returns the pairs promised.

    The wants (by key) get it in their turn, by day, then rank, then key: from the frame that is furthest first. Each
    gets no more than nothing hangs for yet. Nobody wants for more than there is: the rest stays wanted.
    """
    locked = lock_wants(wants)
    candles = {want.candle_id for want in locked.values()}
    frames = living_frames().filter(candle__in=candles).select_for_update().order_by("pk")
    spare = spare_of(frames)
    if not spare:
        return 0
    hangs, given = on_floor_by_want(locked), 0
    for want in sorted(locked.values(), key=lambda want: (want.wanted_by, want.rank, want.pk)):
        lacks = want.pairs - hangs.get(want.pk, 0)
        for place, (frame, pairs) in enumerate(spare[want.candle_id]):
            if (take := min(lacks, pairs)) > 0:
                _promise(frame, want, take)
                spare[want.candle_id][place] = (frame, pairs - take)
                lacks, given = lacks - take, given + take
    return given


def _promise(frame: Frame, want: Want, pairs: int) -> None:
    promise, new = HungFor.objects.get_or_create(frame=frame, want=want, defaults={"pairs": pairs})
    if not new:
        promise.pairs += pairs
        promise.save(update_fields=["pairs"])
    frame.hung_for += pairs
    frame.save(update_fields=["hung_for"])
