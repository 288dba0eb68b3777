"""New firsts of a frame are handed on: to the listeners, then to the workshop's own wants; the rest is the shelf's."""

from inventory.domain.records import record
from inventory.models import Lot
from production.domain.wants import drop_want
from production.models import Frame, Grading, Want
from production.signals import frame_graded


def hand_on(grading: Grading, *, pairs: int, wants: dict[int, int], by) -> None:
    """Hand `pairs` of new firsts to `wants` {key: pairs hung for it} and write down who got what.

    Orders, lines, wants and the frame are locked. Shop orders go before the shelf: an own want only gets what they
    leave.
    """
    rows = {want.pk: want for want in Want.objects.filter(pk__in=wants).order_by("wanted_by", "rank", "pk")}
    answers = frame_graded.send(
        Frame, frame=grading.frame, lot=grading.lot, pairs=pairs, wants={key: wants[key] for key in rows}, by=by
    )
    got = {key: taken for _, answer in answers for key, taken in (answer or {}).items()}
    # Not `pairs` less what was taken: an order that leaves complete may have taken from other lots as well.
    left = min(pairs, Lot.objects.get(pk=grading.lot_id).free) if grading.lot_id else 0
    for key, want in rows.items():
        if key not in got:
            got[key] = _fill_own(want, max(0, min(left, wants[key])))
            left -= got[key]
    _note(grading, rows, wants, got)
    short = sum(max(0, wants[key] - got[key]) for key in rows)
    if short:
        what = f"{short} pairs of firsts fewer than it hung for: they stand on the dip list again."
        record(subject="frame", subject_id=grading.frame_id, what=what, by=by)


def _fill_own(want: Want, pairs: int) -> int:
    """A want of the workshop itself is met by pairs on the shelf."""
    pairs = min(pairs, want.pairs)
    if pairs == want.pairs:
        drop_want(want)
    elif pairs:
        want.pairs -= pairs
        want.save(update_fields=["pairs"])
    return pairs


def _note(grading: Grading, rows: dict[int, Want], wants: dict[int, int], got: dict[int, int]) -> None:
    """Keep who it hung for and what they got: wants that are met are gone afterwards."""
    noted = {row["want"]: row for row in grading.promised}
    for key, want in rows.items():
        if key in noted:
            noted[key]["got"] += got[key]
        else:
            noted[key] = {
                "want": key,
                "for_whom": want.for_whom,
                "group": want.group,
                "wanted_by": want.wanted_by.isoformat(),
                "pairs": wants[key],
                "got": got[key],
            }
    grading.promised = list(noted.values())
    grading.save(update_fields=["promised"])
