"""A recall as page, sheet and file show it: who has what, what lies here, and what may hold traces."""

from collections.abc import Iterator
from dataclasses import dataclass

from orders.queries.trace import briefs_of_lots, contacts_of, gone_in_boxes, gone_of_lots, kept_of, pairs_here
from orders.queries.trace_subjects import Traced
from orders.recall import Brief, Call, Gone, Kept, calls, recall_sentence, traces_in_words
from orders.recall_file import file_rows, kept_row
from production.models import Frame
from production.queries.trace import lots_of_frames, on_the_floor


@dataclass(frozen=True)
class Recall:
    """`to_ring` is `gone` by shop; `may` is what may hold traces, in sums; `hanging`: frames not counted off yet."""

    sentence: str
    traces_said: str
    gone: list[Gone]
    kept: list[Kept]
    hanging: list[Frame]
    to_ring: list[Call]
    may: list[Brief]


def recall_of(subject: Traced, *, contacts: bool = True) -> Recall:
    """A fixed number of queries, whatever its size. Without `contacts` nobody's name or telephone is fetched."""
    gone, kept, hanging = _gone(subject), kept_of(subject.lots), on_the_floor(subject.frames)
    ways = _ways_of_lots(subject)
    may = briefs_of_lots(ways) if ways else []
    whom = contacts_of({row.shop_id for row in (*gone, *may)}) if contacts else {}
    for brief in may:
        brief.contacts = whom.get(brief.shop_id, ())
    pairs = sum(row.pairs for row in kept)
    return Recall(
        sentence=recall_sentence(subject.what, gone, pairs, len(hanging)),
        traces_said=_traces_said(subject, ways),
        gone=gone,
        kept=kept,
        hanging=hanging,
        to_ring=calls(gone, whom),
        may=may,
    )


def recall_rows(subject: Traced) -> Iterator[tuple]:
    """Every row of the recall's file: see orders.recall_file.HEADINGS."""
    ways = _ways_of_lots(subject)
    gone = [*_gone(subject), *gone_of_lots(ways, ways)]
    yield from file_rows(gone, contacts_of({row.shop_id for row in gone}))
    yield from (kept_row(kept) for kept in kept_of(subject.lots))
    yield from (kept_row(kept, ways[kept.lot_id]) for kept in (kept_of(ways) if ways else ()))


def _gone(subject: Traced) -> list[Gone]:
    return gone_in_boxes(subject.boxes) if subject.boxes is not None else gone_of_lots(subject.lots)


def _ways_of_lots(subject: Traced) -> dict[int, str]:
    """The lots of the frames that may hold traces of it, each with its way."""
    if not subject.ways:
        return {}
    lots = lots_of_frames(subject.ways).items()
    return {lot: subject.ways[frame] for lot, frame in lots if lot not in subject.lots}


def _traces_said(subject: Traced, ways: dict[int, str]) -> str:
    """Empty for what leaves no traces: candles, and what they are packed in."""
    if subject.material is None or subject.boxes is not None:
        return ""
    if not subject.ways:
        return traces_in_words(())
    floor = [frame.code for frame in on_the_floor(subject.ways)]
    return traces_in_words(subject.ways.values(), pairs_here=pairs_here(ways), on_floor=floor)
