"""What a stock count found, against what the book said at the moment of counting."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Count, F, Q, QuerySet, Sum
from django.db.models.functions import Coalesce

from inventory.models import Lot, Movement, StockCount, StockCountRow
from inventory.words import in_pairs


@dataclass
class Difference:
    """One lot of a sheet. All figures in pairs; `counted` None: not counted."""

    row: StockCountRow
    book: int  # when it was counted
    since: list[Movement] = field(default_factory=list)  # after the sheet was made

    @property
    def lot(self) -> Lot:
        return self.row.lot

    @property
    def counted(self) -> int | None:
        return self.row.counted

    @property
    def difference(self) -> int:
        return 0 if self.counted is None else self.counted - self.book

    @property
    def left(self) -> int:
        """What the book will say once the difference is posted."""
        return self.lot.on_hand + self.difference

    @property
    def below_set_aside(self) -> bool:
        return self.left < self.lot.set_aside

    def why_not(self) -> str:
        return (
            f"{in_pairs(max(self.left, 0))} would be left, but {self.lot.set_aside} are set aside. "
            f"Count it again, or release {self.lot.set_aside - self.left} first."
        )


def all_counts() -> QuerySet[StockCount]:
    """Every count, the newest first, with how many of its lots were counted."""
    return StockCount.objects.select_related("shelf", "started_by", "posted_by").annotate(
        lots=Count("rows"), done=Count("rows", filter=Q(rows__counted__isnull=False))
    )


def rows_of(count: StockCount) -> QuerySet[StockCountRow]:
    """The sheet's rows in the order of the walk."""
    return count.rows.select_related("lot__candle__colour", "lot__shelf").order_by(
        F("lot__shelf__walk").asc(nulls_last=True),
        "lot__shelf__code",
        "lot__candle__code",
        "lot__grade",
        "lot__made_on",
        "pk",
    )


def book_at(lot_ids: Iterable[int], moment: datetime) -> dict[int, int]:
    """What the book says of each lot for that moment: pairs on hand now, less what has moved since.

    A recount booked since counts as a correction of the past, so it stays in.
    """
    later = Q(movements__at__gt=moment) & ~Q(movements__kind="recounted")
    lots = Lot.objects.filter(pk__in=lot_ids).order_by()
    return dict(
        lots.annotate(book=F("on_hand") - Coalesce(Sum("movements__pairs", filter=later), 0)).values_list("pk", "book")
    )


def differences(count: StockCount) -> list[Difference]:
    """Every row of the sheet against the book at the moment of counting. Three queries, however many rows.

    Of a posted sheet the differences are those that were booked.
    """
    rows = list(rows_of(count))
    if count.posted_at:
        booked = dict(_booked(count))
        books = {row.lot_id: (row.counted or 0) - booked.get(row.lot_id, 0) for row in rows}
    else:
        books = book_at([row.lot_id for row in rows], count.counted_at or count.started_at)
    found = {row.lot_id: Difference(row=row, book=books[row.lot_id]) for row in rows}
    since = Movement.objects.filter(lot__in=count.rows.values("lot"), at__gt=count.started_at)
    if count.posted_at:
        since = since.filter(at__lte=count.posted_at)
    for movement in since.exclude(reference=str(count)).select_related("person").order_by("at", "pk"):
        found[movement.lot_id].since.append(movement)
    return list(found.values())


def _booked(count: StockCount) -> QuerySet:
    """(lot id, pairs) of what posting this count has moved."""
    moved = Movement.objects.filter(kind="recounted", reference=str(count)).order_by()
    return moved.values("lot").annotate(moved=Sum("pairs")).values_list("lot", "moved")
