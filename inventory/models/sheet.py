"""Spreadsheets brought in: the files, and what their headings mean."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse


class SheetMapping(models.Model):
    """What a heading of somebody's sheets means: said once, remembered for every later sheet of that kind.

    `heading` as it is compared (inventory.sheets.values.key); `column` empty: it is left out.
    """

    kind = models.CharField(max_length=8)
    heading = models.CharField(max_length=200)
    column = models.CharField(max_length=40, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["kind", "heading"], name="sheet_mapping_once_a_heading")]

    def __str__(self):
        return f"{self.kind}: {self.heading} is {self.column or 'left out'}"


class SheetFile(models.Model):
    """A file as it came, until it is loaded; then only its digest stays, so that a file is not counted in twice.

    `once`: loading the same content again would do its work twice, and is refused by constraint. `told`: what became
    of it, a sentence each.
    """

    kind = models.CharField(max_length=8)
    name = models.CharField(max_length=120)
    sha256 = models.CharField(max_length=64)
    data = models.BinaryField()
    once = models.BooleanField()
    taken_at = models.DateTimeField()
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    loaded_at = models.DateTimeField(null=True, blank=True)
    loaded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    told = models.JSONField(default=list)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "sha256"],
                condition=Q(once=True, loaded_at__isnull=False),
                name="sheet_file_loaded_once",
            ),
            models.CheckConstraint(
                condition=Q(loaded_at__isnull=True, loaded_by__isnull=True)
                | Q(loaded_at__isnull=False, loaded_by__isnull=False),
                name="sheet_file_loaded_by_somebody",
            ),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("sheet_in", args=[self.pk])
