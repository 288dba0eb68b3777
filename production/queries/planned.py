"""Pairs that frames of the standing dip plan are meant to give: not threaded yet, of the candle still wanted."""

from django.db.models import F, QuerySet
from django.db.models.functions import Coalesce

from production.models import DipPlan, PlannedFor, PlannedFrame

# Frames of the standing plan that are not threaded yet. The plan by its key, the frame not by NULL: else SQLite goes
# through every frame that plans since replaced never hung.
TO_HANG = PlannedFrame.objects.alias(threaded=Coalesce("frame", 0)).filter(
    plan__in=DipPlan.objects.filter(stands=True), threaded=0
)
MEANT = PlannedFor.objects.filter(frame__in=TO_HANG, frame__candle=F("want__candle")).order_by()


def standing_meant_for() -> QuerySet[PlannedFor]:
    """What the standing plan means for wants. A frame once threaded promises by itself (production.queries.on_floor).

    A want that changed its candle since (another colour agreed on) gets nothing of what was planned for the old one.
    """
    return MEANT.all()
