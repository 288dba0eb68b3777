"""Pairs that frames of the standing dip plan are meant to give: not threaded yet, of the candle still wanted."""

from django.db.models import F, QuerySet

from production.models import PlannedFor


def standing_meant_for() -> QuerySet[PlannedFor]:
    """What the standing plan means for wants. A frame once threaded promises by itself (production.queries.on_floor).

    A want that changed its candle since (another colour agreed on) gets nothing of what was planned for the old one.
    """
    rows = PlannedFor.objects.filter(frame__plan__stands=True, frame__frame=None, frame__candle=F("want__candle"))
    return rows.order_by()
