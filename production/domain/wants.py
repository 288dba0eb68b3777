"""Wants: what the floor is asked for. Whoever asks keeps the want's key and says again what is needed.

A want counts every pair still open, those that hang for it included. Where it shrinks, the frames hung last give up
what is no longer needed: they hang on, for the shelf.
"""

from datetime import date

from django.db import transaction
from django.utils import timezone

from inventory.models import Candle
from production.models import Frame, HungFor, Want


def lock_wants(ids) -> dict[int, Want]:
    """Lock the wants and the frames hung for them, each in the order of their keys, and return the wants by id.

    The frames are locked here, because whoever shrinks a want does so with lots already locked, and frames come
    before lots. Needs a transaction.
    """
    wants = {want.pk: want for want in Want.objects.select_for_update().filter(pk__in=set(ids)).order_by("pk")}
    if wants:
        lock_frames_for(wants)
    return wants


def lock_frames_for(wants) -> dict[int, Frame]:
    """Lock the frames hung for any of the (locked) wants. Nobody can hang more for them meanwhile."""
    hung = HungFor.objects.filter(want__in=list(wants)).values("frame")
    return {frame.pk: frame for frame in Frame.objects.select_for_update().filter(pk__in=hung).order_by("pk")}


@transaction.atomic
def keep_want(
    *,
    want: Want | None,
    candle: Candle,
    pairs: int,
    wanted_by: date,
    for_whom: str,
    rank: int,
    group: str,
    all_or_nothing: bool,
) -> Want:
    """Make the want say this: `pairs` of firsts by `wanted_by`. None makes a new one; nothing new writes nothing.

    What hangs for it beyond `pairs`, or of another candle, hangs for the shelf from now on. IntegrityError for pairs
    below one: the caller drops the want instead.
    """
    values = {
        "candle_id": candle.pk,
        "pairs": pairs,
        "wanted_by": wanted_by,
        "for_whom": for_whom[: Want._meta.get_field("for_whom").max_length],
        "rank": rank,
        "group": group,
        "all_or_nothing": all_or_nothing,
    }
    if want is None:
        return Want.objects.create(made_at=timezone.now(), **values)
    changed = [name for name, value in values.items() if getattr(want, name) != value]
    if "candle_id" in changed:
        release_hung(want, 0)
    elif pairs < want.pairs:
        release_hung(want, pairs)
    for name in changed:
        setattr(want, name, values[name])
    if changed:
        want.save(update_fields=changed)
    return want


@transaction.atomic
def drop_want(want: Want) -> None:
    """Nobody needs these pairs any more (filled, cancelled or taken off the order). Its frames hang for the shelf."""
    release_hung(want, 0)
    want.delete()


def release_hung(want: Want, most: int) -> int:
    """Let no more than `most` pairs hang for the want; returns how many are let go. Needs a transaction.

    The frame threaded last lets go first: what hangs longest is ready first.
    """
    frames = lock_frames_for([want.pk])
    let_go = 0
    promises = list(HungFor.objects.filter(want=want).order_by("frame_id"))
    for promise in promises:
        keep = min(promise.pairs, most)
        most -= keep
        if keep == promise.pairs:
            continue
        frame = frames[promise.frame_id]
        frame.hung_for -= promise.pairs - keep
        frame.save(update_fields=["hung_for"])
        let_go += promise.pairs - keep
        if keep:
            promise.pairs = keep
            promise.save(update_fields=["pairs"])
        else:
            promise.delete()
    return let_go
