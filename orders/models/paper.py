"""Issued paper: frozen content first, the PDF rendered from it once, both guarded by triggers."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

DELIVERY_NOTE, PACKING_SLIP, INVOICE = "delivery note", "packing slip", "invoice"
CREDIT_NOTE, PRO_FORMA = "credit note", "pro forma"
STATEMENT, REMINDER, LATE_CHARGE = "statement", "reminder", "late charge"
SECONDS_LIST = "seconds list"
ACKNOWLEDGEMENT = "acknowledged"  # what the column holds; it is called by its whole name
PAPER_KINDS = [
    (kind, kind)
    for kind in (
        DELIVERY_NOTE,
        PACKING_SLIP,
        INVOICE,
        CREDIT_NOTE,
        PRO_FORMA,
        STATEMENT,
        REMINDER,
        LATE_CHARGE,
        SECONDS_LIST,
    )
] + [(ACKNOWLEDGEMENT, "order acknowledgement")]


class Series(models.Model):
    """The next number of one kind of paper (or of orders). The row is locked while a number is taken."""

    name = models.CharField(max_length=20, unique=True)
    prefix = models.CharField(max_length=8, blank=True)
    next = models.PositiveIntegerField(default=1)

    class Meta:
        verbose_name_plural = "series"

    def __str__(self):
        return self.name


class Paper(models.Model):
    """A paper as it was issued. `content` holds everything printed on it; triggers refuse any change."""

    kind = models.CharField(max_length=14, choices=PAPER_KINDS)
    number = models.CharField(max_length=24, unique=True)
    # The running number within the kind's series; empty for packing slips, which are numbered after their note.
    running = models.PositiveIntegerField(null=True, blank=True)
    shop = models.ForeignKey("orders.Shop", on_delete=models.PROTECT, related_name="papers")
    content = models.JSONField()
    content_sha256 = models.CharField(max_length=64)
    issued_on = models.DateField()
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-issued_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "running"], condition=Q(running__isnull=False), name="paper_running_once_a_kind"
            ),
        ]

    def __str__(self):
        return self.number

    def get_absolute_url(self):
        return reverse("paper", args=[self.pk])


class PaperFile(models.Model):
    """The PDF, rendered after the commit or when first opened, stored once. Reprints serve these bytes."""

    paper = models.OneToOneField(Paper, on_delete=models.PROTECT, related_name="file")
    pdf = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    rendered_at = models.DateTimeField()


class PaperCancellation(models.Model):
    """A number that was given and then not used. The paper stays; this row says it is void, and why."""

    paper = models.OneToOneField(Paper, on_delete=models.PROTECT, related_name="cancellation")
    reason = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
