"""The season: when it is, and what shops ordered before this book was begun."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from orders.models.order import MOST_PAIRS


class SeasonFigures(models.Model):
    """One row, pk 1."""

    first_month = models.PositiveSmallIntegerField(
        "sending for Christmas begins with month",
        default=9,
        validators=[MinValueValidator(1), MaxValueValidator(12)],
        help_text="9 is September: an order to be sent from 1 September to 24 December is of the season.",
    )
    last_van = models.DateField(
        "last van before Christmas",
        null=True,
        blank=True,
        help_text="Empty: the last van day up to 23 December.",
    )
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        verbose_name_plural = "season figures"
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="season_figures_one_row"),
            models.CheckConstraint(
                condition=Q(first_month__gte=1, first_month__lte=12), name="season_begins_in_a_month"
            ),
        ]

    def __str__(self):
        return f"season from month {self.first_month}"


class BookedBefore(models.Model):
    """Pairs of firsts a shop ordered before this book was begun: a season to compare with. Rows of one paste share its
    `submission`; they are taken out together."""

    shop = models.ForeignKey("orders.Shop", on_delete=models.PROTECT, related_name="booked_before")
    candle = models.ForeignKey("inventory.Candle", on_delete=models.PROTECT, related_name="booked_before")
    placed_on = models.DateField("ordered on")
    ship_by = models.DateField("to be sent by")
    pairs = models.PositiveIntegerField(validators=[MinValueValidator(1), MaxValueValidator(MOST_PAIRS)])
    submission = models.UUIDField(db_index=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "booked before"
        ordering = ["placed_on", "pk"]
        indexes = [models.Index(fields=["ship_by"], name="booked_before_ship_by")]
        constraints = [
            models.CheckConstraint(
                condition=Q(pairs__gte=1, pairs__lte=MOST_PAIRS), name="booked_before_pairs_bounds"
            ),
            models.CheckConstraint(condition=Q(placed_on__lte=F("ship_by")), name="booked_before_sent_after_placed"),
        ]

    def __str__(self):
        return f"{self.pairs} x {self.candle_id} on {self.placed_on}"
