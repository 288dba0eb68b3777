"""The number a closed box goes by in the world: given once, never to another box."""

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models


class CaseLabel(models.Model):
    """Append-only: triggers refuse update and delete. An unpacked box keeps its number, and nobody else gets it."""

    box = models.OneToOneField("orders.Box", on_delete=models.PROTECT, related_name="case_label")
    serial = models.PositiveBigIntegerField(unique=True)
    sscc = models.CharField("SSCC", max_length=18, unique=True, validators=[RegexValidator(r"^\d{18}$")])
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["serial"]

    def __str__(self):
        return self.sscc
