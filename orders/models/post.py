"""Letters: e-mail the book has to send, written in the transaction of what they tell of, sent after the commit."""

from django.conf import settings
from django.db import models
from django.db.models import Q

WAITING, SENDING, SENT, FAILED, DROPPED = "waiting", "sending", "sent", "failed", "dropped"
STATES = [(state, state) for state in (WAITING, SENDING, SENT, FAILED, DROPPED)]


class Letter(models.Model):
    """One e-mail. `key` makes the same occasion asked for twice one letter. Papers go along as their stored PDFs.

    `sending` is claimed before the mail server is spoken to: a process killed in between leaves it there, and nobody
    sends it again unasked, because it may have gone.
    """

    key = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=24)
    shop = models.ForeignKey("orders.Shop", on_delete=models.PROTECT, related_name="letters")
    to = models.CharField(max_length=400, help_text="Addresses, separated by commas.")
    subject = models.CharField(max_length=160)
    body = models.TextField()
    papers = models.ManyToManyField("orders.Paper", blank=True, related_name="letters")
    state = models.CharField(max_length=8, choices=STATES, default=WAITING)
    tries = models.PositiveSmallIntegerField(default=0)
    error = models.CharField(max_length=300, blank=True)
    written_at = models.DateTimeField()
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    claimed_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(fields=["state"], name="letter_state")]
        constraints = [
            models.CheckConstraint(condition=~Q(state="sent") | Q(sent_at__isnull=False), name="letter_sent_has_time")
        ]

    def __str__(self):
        return self.subject
