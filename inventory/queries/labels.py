"""Sheets of labels that hold what is to be printed."""

from decimal import Decimal

from django.db.models import QuerySet

from inventory.models import LabelSheet


def sheets_for(least: tuple[Decimal, Decimal, Decimal]) -> QuerySet[LabelSheet]:
    """Sheets whose labels are at least so wide and high (mm), the smallest labels first."""
    width, height, _ = least
    return LabelSheet.objects.filter(label_w_mm__gte=width, label_h_mm__gte=height).order_by("label_h_mm", "name")
