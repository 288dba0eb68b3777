"""Pro formas: what an order will come to, asked for before it is sent. Never in the ledger, and no VAT invoice."""

from django.db import models


class ProForma(models.Model):
    """A paper in a series of its own. `gross` in `currency`, as it would be invoiced on the day it was made."""

    paper = models.OneToOneField("orders.Paper", on_delete=models.PROTECT, related_name="pro_forma")
    order = models.ForeignKey("orders.Order", on_delete=models.PROTECT, related_name="pro_formas")
    currency = models.CharField(max_length=3, default="GBP")
    gross = models.DecimalField(max_digits=10, decimal_places=2)
    submission = models.UUIDField(null=True, unique=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self):
        return self.paper.number

    def get_absolute_url(self):
        return self.paper.get_absolute_url()
