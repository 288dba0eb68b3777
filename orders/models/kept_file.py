"""Files kept as they are: what went out along with a letter, what a shop sent back."""

from django.db import models
from django.urls import reverse

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class KeptFile(models.Model):
    """A file's bytes, kept once and never changed; triggers refuse it. What a stranger sent is never shown in a page:
    it is handed out as a download only.
    """

    name = models.CharField(max_length=120)
    media_type = models.CharField(max_length=100)
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    kept_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("kept_file", args=[self.pk])
