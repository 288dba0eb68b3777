"""Letters: e-mail the book has to send, written in the transaction of what they tell of, sent after the commit."""

from datetime import timedelta

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

WAITING, SENDING, SENT, FAILED, DROPPED = "waiting", "sending", "sent", "failed", "dropped"
STATES = [(state, state) for state in (WAITING, SENDING, SENT, FAILED, DROPPED)]
SERVER, FOLDER = "server", "folder"
# Far longer than the post's own time limits: what is still `sending` then was broken off.
BROKEN_OFF_AFTER = timedelta(minutes=5)


class LetterQuerySet(models.QuerySet):
    def stranded(self):
        """Letters that wait for a person: failed, or claimed so long ago that nobody is sending them any more."""
        broken_off = Q(state=SENDING, claimed_at__lt=timezone.now() - BROKEN_OFF_AFTER)
        return self.filter(Q(state=FAILED) | broken_off)


class Letter(models.Model):
    """One e-mail. `key` makes the same occasion asked for twice one letter. Papers go along as their stored PDFs,
    kept files as they are.

    `sending` is claimed before the mail server is spoken to: a process killed in between leaves it there, and nobody
    sends it again unasked, because it may have gone. `went_to` tells a mail server from the folder of files that takes
    its place where none is named.
    """

    key = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=24)
    shop = models.ForeignKey("orders.Shop", on_delete=models.PROTECT, related_name="letters")
    to = models.CharField(max_length=400, help_text="Addresses, separated by commas.")
    subject = models.CharField(max_length=160)
    body = models.TextField()
    # Its address is put in when the letter is sent: kept here, the body would hold the key to the shop's page.
    link = models.ForeignKey(
        "orders.ShopLink", on_delete=models.PROTECT, null=True, blank=True, related_name="letters"
    )
    papers = models.ManyToManyField("orders.Paper", blank=True, related_name="letters")
    files = models.ManyToManyField("orders.KeptFile", blank=True, related_name="letters")
    state = models.CharField(max_length=8, choices=STATES, default=WAITING)
    tries = models.PositiveSmallIntegerField(default=0)
    error = models.CharField(max_length=300, blank=True)
    written_at = models.DateTimeField()
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    claimed_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    went_to = models.CharField(max_length=6, blank=True, choices=[(SERVER, SERVER), (FOLDER, FOLDER)])

    objects = LetterQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(fields=["state"], name="letter_state")]
        constraints = [
            models.CheckConstraint(condition=~Q(state="sent") | Q(sent_at__isnull=False), name="letter_sent_has_time")
        ]

    def __str__(self):
        return self.subject

    def get_absolute_url(self):
        return reverse("letter", args=[self.pk])

    @property
    def stranded(self) -> bool:
        """As the queryset's: failed, or broken off while it was sent."""
        late = self.claimed_at is not None and self.claimed_at < timezone.now() - BROKEN_OFF_AFTER
        return self.state == FAILED or (self.state == SENDING and late)
