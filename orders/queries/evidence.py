"""Exports and their evidence: goods invoiced without VAT have to be shown to have left within three months."""

from datetime import date, timedelta

from django.db.models import QuerySet

from orders.models import ExportEvidence

SOON = timedelta(days=21)


def waiting_evidence() -> QuerySet[ExportEvidence]:
    """Evidence not yet received of invoices not taken back whole, the most urgent first."""
    rows = ExportEvidence.objects.filter(received_on=None).exclude(invoice__credit_notes__anew=True)
    return rows.select_related("invoice__shop", "invoice__paper").defer("invoice__paper__content").order_by("due_by")


def pressing_evidence(today: date) -> list[ExportEvidence]:
    """Overdue, or due within three weeks."""
    return list(waiting_evidence().filter(due_by__lte=today + SOON))
