"""Wants: what the floor is asked for. Whoever asks keeps the want's key and says again what is needed."""

from datetime import date

from django.db import transaction
from django.utils import timezone

from inventory.models import Candle
from production.models import Want


def lock_wants(ids) -> dict[int, Want]:
    """Lock the wants, in the order of their keys as everywhere, and return them by id. Needs a transaction."""
    return {want.pk: want for want in Want.objects.select_for_update().filter(pk__in=set(ids)).order_by("pk")}


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

    IntegrityError for pairs below one: the caller drops the want instead.
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
    for name in changed:
        setattr(want, name, values[name])
    if changed:
        want.save(update_fields=changed)
    return want


@transaction.atomic
def drop_want(want: Want) -> None:
    """Nobody needs these pairs any more (filled, cancelled or taken off the order)."""
    want.delete()
