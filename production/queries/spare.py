"""What living frames are counted on for beyond what they hang for: firsts that hang for the shelf."""

from collections import defaultdict
from collections.abc import Iterable

from production.models import Frame
from production.models.frame import OFF
from production.queries.on_floor import living_frames


def spare_by_candle(candles: Iterable[int]) -> dict[int, list[tuple[Frame, int]]]:
    """By candle: its living frames with firsts nobody is promised, the furthest first. One query, none for none."""
    keys = set(candles)
    return spare_of(living_frames().filter(candle__in=keys).select_related("candle", "carousel") if keys else ())


def spare_of(frames: Iterable[Frame]) -> dict[int, list[tuple[Frame, int]]]:
    """The same of these frames. A frame that was counted on for nothing when it was threaded has nothing to spare."""
    found: dict[int, list[tuple[Frame, int]]] = defaultdict(list)
    for frame in sorted(frames, key=lambda frame: (frame.state != OFF, -frame.dips, frame.pk)):
        if (pairs := (frame.expected or 0) - frame.hung_for) > 0:
            found[frame.candle_id].append((frame, pairs))
    return found
