"""Who did what, when. One append-only table for stock, promises, papers, money and set-up."""

from django.conf import settings
from django.db import models


class Record(models.Model):
    """A sentence about one subject, e.g. ("order", 17): "Confirmed: 504 pairs by 9 December"."""

    subject = models.CharField(max_length=20)
    subject_id = models.BigIntegerField()
    what = models.CharField(max_length=400)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["subject", "subject_id", "at"], name="record_subject")]

    def __str__(self):
        return self.what
