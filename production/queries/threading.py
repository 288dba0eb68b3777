"""What a frame can be threaded for: candles with a recipe, pairs its bars take, wants that wait for pairs."""

from collections import Counter

from django.db.models import QuerySet

from inventory.models import Candle
from production.models import FrameKind, PlannedFrame, Want
from production.pitch import Loading, pairs_on_frame
from production.queries.firsts import firsts_expected
from production.queries.on_floor import on_floor_by_want


def candles_dipped() -> QuerySet[Candle]:
    """Candles with a recipe that stand in the catalogue, those somebody waits for first."""
    return Candle.objects.filter(active=True, recipe__isnull=False).order_by("code")


def loading_of(kind: FrameKind, candle: Candle) -> Loading:
    return pairs_on_frame(kind.bars, kind.usable_mm, candle.base_mm, kind.pitch)


def wants_waiting(candle: Candle) -> list[Want]:
    """Wants of the candle, in their turn, each with `lacking`: pairs nothing hangs for yet. Two queries."""
    wants = list(Want.objects.filter(candle=candle).order_by("wanted_by", "rank", "pk"))
    hangs = on_floor_by_want(want.pk for want in wants)
    for want in wants:
        want.lacking = max(0, want.pairs - hangs.get(want.pk, 0))
    return [want for want in wants if want.lacking]


def share_out(
    candle: Candle, hung: int, wants: list[Want], planned: PlannedFrame | None = None
) -> tuple[int, dict[str, int]]:
    """(firsts counted on, field -> pairs): the wants take what is counted on, first those that the `planned` frame is
    meant for, then each in its turn.
    """
    counted_on = left = firsts_expected(candle.pk, hung)
    meant = dict(planned.meant_for.values_list("want", "pairs")) if planned else {}
    shares: Counter[str] = Counter({f"want_{want.pk}": 0 for want in wants})
    for most in (lambda want: min(want.lacking, meant.get(want.pk, 0)), lambda want: want.lacking):
        for want in wants:
            field = f"want_{want.pk}"
            share = min(left, max(0, most(want) - shares[field]))
            shares[field] += share
            left -= share
    return counted_on, dict(shares)
