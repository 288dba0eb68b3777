"""What frames and boxes drew is what lots of materials say was drawn of them."""

from collections import Counter
from collections.abc import Iterator

from django.db.models import F, Q, Sum

from inventory.models import MaterialMovement
from orders.models import BoxUse
from production.models import FrameUse


def breaches() -> Iterator[str]:
    yield from _box_uses()
    yield from _drawn()


def _box_uses():
    rows = BoxUse.objects.filter(movement__isnull=False).select_related("box__slip", "lot", "movement").order_by("pk")
    right = Q(
        movement__lot=F("lot"), movement__kind="drawn", movement__amount=-F("amount"), lot__material=F("material")
    )
    for row in rows.exclude(right).iterator():
        yield (
            f"box {row.box.slip}: drew {row.amount} of lot {row.lot}, and names a movement of "
            f"{row.movement.amount:+d} ({row.movement.kind}) of lot {row.movement.lot_id}"
        )


def _drawn():
    """By lot: everything drawn and not put back by an unpacking went into frames and boxes that say so."""
    used: Counter[str] = Counter()
    for model in (FrameUse, BoxUse):
        rows = model.objects.filter(lot__isnull=False).order_by().values_list("lot__code")
        used.update(dict(rows.annotate(sum=Sum("amount"))))
    # A person who puts something back by hand names no box.
    moved = MaterialMovement.objects.filter(Q(kind="drawn") | Q(kind="put back") & ~Q(reference=""))
    drawn = Counter(
        {code: -amount for code, amount in moved.order_by().values_list("lot__code").annotate(sum=Sum("amount"))}
    )
    for code in sorted({*used, *drawn}):
        if used[code] != drawn[code]:
            yield f"material lot {code}: {drawn[code]} were drawn, frames and boxes have {used[code]} of it"
