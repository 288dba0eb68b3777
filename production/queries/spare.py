"""What living frames are expected to give beyond what they hang for: pairs that hang for the shelf."""

from collections import defaultdict
from collections.abc import Iterable

from production.chances import expected_firsts
from production.models import Frame
from production.models.frame import OFF
from production.queries.figures import confidence
from production.queries.firsts import firsts_rates
from production.queries.on_floor import living_frames


def spare_by_candle(candles: Iterable[int]) -> dict[int, list[tuple[Frame, int]]]:
    """By candle: its living frames with pairs of firsts nobody is promised, the furthest first. Five queries."""
    keys = set(candles)
    frames = living_frames().filter(candle__in=keys).select_related("candle", "carousel") if keys else ()
    return spare_of(frames)


def spare_of(frames: Iterable[Frame]) -> dict[int, list[tuple[Frame, int]]]:
    """The same of these frames. Three queries, none for no frames."""
    frames = sorted(frames, key=lambda frame: (frame.state != OFF, -frame.dips, frame.pk))
    found: dict[int, list[tuple[Frame, int]]] = defaultdict(list)
    if not frames:
        return found
    rates, sure = firsts_rates({frame.candle_id for frame in frames}), confidence()
    for frame in frames:
        rate = rates[frame.candle_id]
        pairs = expected_firsts(frame.hung, rate.good, rate.of, sure) - frame.hung_for
        if pairs > 0:
            found[frame.candle_id].append((frame, pairs))
    return found
