"""Wants: what the floor is asked for. Whoever asks keeps the want's key and says again what is needed.

A want counts every pair still open, those that hang for it included. Where it shrinks, the frames hung last give up
what is no longer needed: they hang on, for the shelf.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from datetime import date

from django.db import transaction
from django.utils import timezone

from inventory.domain.rows import update_rows
from inventory.models import Candle
from production.models import Frame, HungFor, PlannedFor, Want


def lock_wants(ids) -> dict[int, Want]:
    """Lock the wants and the frames hung for them, each in the order of their keys, and return the wants by id.

    The frames are locked here, because whoever shrinks a want does so with lots already locked, and frames come
    before lots. Needs a transaction. A want hung for inside it is locked anew before it shrinks.
    """
    wants = {want.pk: want for want in Want.objects.select_for_update().filter(pk__in=set(ids)).order_by("pk")}
    if wants:
        hung = _hung(wants)
        _lock_frames(frame for frame, _ in hung)
        for pk in wants.keys() - {want for _, want in hung}:
            wants[pk].may_hang = False
    return wants


def _hung(wants) -> list[tuple[int, int]]:
    """Keys of a frame and the want it hangs for, of these (locked) wants. Nobody can hang more for them meanwhile."""
    return list(HungFor.objects.filter(want__in=list(wants)).order_by().values_list("frame", "want"))


def _lock_frames(keys: Iterable[int]) -> dict[int, Frame]:
    if not (keys := set(keys)):
        # Most often: for a want that has just come up nothing hangs yet.
        return {}
    return {frame.pk: frame for frame in Frame.objects.select_for_update().filter(pk__in=keys).order_by("pk")}


@dataclass(frozen=True)
class Said:
    """What a want says: `pairs` of firsts by `wanted_by`, for whom, and how it stands among others."""

    candle: Candle
    pairs: int
    wanted_by: date
    for_whom: str
    rank: int
    group: str
    all_or_nothing: bool

    @property
    def values(self) -> dict:
        """By column; a long name is cut to fit."""
        longest = Want._meta.get_field("for_whom").max_length
        return {
            "candle_id": self.candle.pk,
            "pairs": self.pairs,
            "wanted_by": self.wanted_by,
            "for_whom": self.for_whom[:longest],
            "rank": self.rank,
            "group": self.group,
            "all_or_nothing": self.all_or_nothing,
        }


@transaction.atomic(savepoint=False)
def keep_wants(asks: Iterable[tuple[Want | None, Said]]) -> list[Want]:
    """Make each want say this. None makes a new one; nothing new writes nothing.

    What hangs for one beyond its pairs, or of another candle, hangs for the shelf from now on. IntegrityError for
    pairs below one: the caller drops such wants instead.
    """
    kept, new, changed, most = [], [], [], {}
    for before, said in asks:
        values = said.values
        want = before or Want(made_at=timezone.now(), **values)
        if before is None:
            new.append(want)
        elif any(getattr(want, name) != value for name, value in values.items()):
            if want.may_hang and want.candle_id != said.candle.pk:
                most[want.pk] = 0
            elif want.may_hang and said.pairs < want.pairs:
                most[want.pk] = said.pairs
            for name, value in values.items():
                setattr(want, name, value)
            changed.append(want)
        kept.append(want)
    release_hung(most)
    update_rows(changed, [field.name for field in fields(Said)])
    Want.objects.bulk_create(new)
    return kept


def keep_want(*, want: Want | None, **said) -> Want:
    """The same of one want; `said` as in Said."""
    return keep_wants([(want, Said(**said))])[0]


@transaction.atomic(savepoint=False)
def drop_wants(wants: Iterable[Want]) -> None:
    """Nobody needs these pairs any more (filled, cancelled or taken off an order). Their frames hang for the shelf.

    Whoever kept a want's key forgets it inside the same transaction, or the database refuses.
    """
    wants = list(wants)
    keys = [want.pk for want in wants]
    if keys:
        release_hung({want.pk: 0 for want in wants if want.may_hang})
        PlannedFor.objects.filter(want__in=keys).delete()
        Want.objects.filter(pk__in=keys).delete()


def drop_want(want: Want) -> None:
    drop_wants([want])


def release_hung(most: Mapping[int, int]) -> int:
    """Let no more than so many pairs hang for each want (by key); returns how many are let go. Needs a transaction.

    The frame threaded last lets go first: what hangs longest is ready first.
    """
    if not most:
        return 0
    frames, left = _lock_frames(frame for frame, _ in _hung(most)), dict(most)
    if not frames:
        return 0
    shrunk, empty, let_go = [], [], Counter()
    for promise in HungFor.objects.filter(want__in=left).order_by("want_id", "frame_id"):
        keep = min(promise.pairs, left[promise.want_id])
        left[promise.want_id] -= keep
        if keep == promise.pairs:
            continue
        let_go[promise.frame_id] += promise.pairs - keep
        promise.pairs = keep
        (shrunk if keep else empty).append(promise)
    for frame_id, pairs in let_go.items():
        frames[frame_id].hung_for -= pairs
    update_rows([frames[frame_id] for frame_id in let_go], ["hung_for"])
    update_rows(shrunk, ["pairs"])
    if empty:
        HungFor.objects.filter(pk__in=[promise.pk for promise in empty]).delete()
    return let_go.total()
