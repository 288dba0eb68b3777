"""Complaints as pages list them."""

from datetime import date

from django.db.models import Count, F, Min, QuerySet

from orders.complaint_words import open_sentence
from orders.models import Complaint


def complaints_listed() -> QuerySet[Complaint]:
    """Every complaint, the open ones first, with what a row shows of it."""
    rows = Complaint.objects.select_related("shop", "lot__candle__colour", "lot__candle__wax", "closed_by")
    return rows.order_by(F("closed_on").desc(nulls_first=True), "-told_on", "-pk")


def open_complaints() -> QuerySet[Complaint]:
    return complaints_listed().filter(closed_on=None).order_by("told_on", "pk")


def complaints_said(today: date) -> str:
    """How many are open, and since when, in words; empty where none is. One query."""
    found = Complaint.objects.filter(closed_on=None).aggregate(count=Count("pk"), oldest=Min("told_on"))
    return open_sentence(**found, today=today) if found["count"] else ""
