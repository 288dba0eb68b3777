"""A stock count brought as far as a test needs it."""

from django.utils import timezone

from inventory.domain.counts import start_count, type_in
from inventory.models import Lot


def counting(lot, by):
    count = start_count(by=by)
    return count, count.rows.get(lot=lot)


def typed(count, counted, by, at=None):
    count.refresh_from_db()
    at = at or timezone.now()
    return type_in(count=count, version=count.version, counted_at=at, counted=counted, by=by)


def on_hand(lot):
    return Lot.objects.get(pk=lot.pk).on_hand
