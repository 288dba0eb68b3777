"""Order forms: the sheet made for one shop to fill in, and what came back of it."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from orders.models.price import CURRENCIES, STERLING


class OrderForm(models.Model):
    """A sheet made for one shop, as it was made: what never changes, so that an old form can be told from the prices
    of today. `rows`: [{"code", "price", "last"}], price a pair as text, last year's pairs.
    """

    number = models.PositiveIntegerField(unique=True)
    shop = models.ForeignKey("orders.Shop", on_delete=models.PROTECT, related_name="order_forms")
    currency = models.CharField(max_length=3, choices=CURRENCIES, default=STERLING)
    first_day = models.DateField("the van's days from")
    last_day = models.DateField("to")
    note = models.CharField("word to the shop", max_length=300, blank=True)
    rows = models.JSONField()
    file = models.OneToOneField("orders.KeptFile", on_delete=models.PROTECT, related_name="order_form")
    made_on = models.DateField()
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    submission = models.UUIDField(unique=True, help_text="The same page sent twice makes one form.")

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(fields=["shop", "-made_on"], name="order_form_shop_made")]
        constraints = [
            models.CheckConstraint(condition=Q(last_day__gte=F("first_day")), name="order_form_days_in_order")
        ]

    def __str__(self):
        return f"OF-{self.number}"

    def get_absolute_url(self):
        return reverse("order_form", args=[self.pk])


class FormBack(models.Model):
    """A form that came back, filled in: the file as it came, how it was read, and the draft it became.

    `sha256` is of what the file says, not of its bytes: saved anew it is the same order still. `form` is empty where
    its number was gone. `told`: sentences for whoever looks the draft over. `rows`: [{"row", "said", "became",
    "doubt", "left_out"}].
    """

    form = models.ForeignKey(OrderForm, on_delete=models.PROTECT, null=True, related_name="backs")
    order = models.OneToOneField("orders.Order", on_delete=models.PROTECT, related_name="came_as")
    file = models.OneToOneField("orders.KeptFile", on_delete=models.PROTECT, related_name="form_back")
    sha256 = models.CharField(max_length=64, db_index=True)
    told = models.JSONField(default=list)
    rows = models.JSONField(default=list)
    read_at = models.DateTimeField()
    read_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-pk"]
        verbose_name = "form that came back"
        verbose_name_plural = "forms that came back"

    def __str__(self):
        return f"{self.form} come back" if self.form_id else "a form without its number"

    def get_absolute_url(self):
        return reverse("form_back", args=[self.pk])
