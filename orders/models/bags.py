"""Firelighters by the bag: wick ends with their wax, sold beside seconds."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

MOST_BAGS = 5_000


class OrderBags(models.Model):
    """Bags of firelighters on an order of seconds; `price` a bag, net of every discount.

    They go with the order's next delivery (`delivery`, while it is packed and after); `sold` is the stock that left,
    once the van has.
    """

    order = models.OneToOneField("orders.Order", on_delete=models.CASCADE, related_name="bags")
    bags = models.PositiveIntegerField(validators=[MinValueValidator(1), MaxValueValidator(MOST_BAGS)])
    price = models.DecimalField("price a bag (GBP)", max_digits=8, decimal_places=2)
    delivery = models.OneToOneField(
        "orders.Delivery", on_delete=models.PROTECT, null=True, blank=True, related_name="bags"
    )
    sold = models.OneToOneField(
        "production.WickEnds", on_delete=models.PROTECT, null=True, blank=True, related_name="order_bags"
    )

    class Meta:
        verbose_name_plural = "order bags"
        constraints = [
            models.CheckConstraint(condition=Q(bags__gt=0, bags__lte=MOST_BAGS), name="order_bags_bounds"),
            models.CheckConstraint(condition=Q(price__gt=0), name="order_bags_price"),
            models.CheckConstraint(
                condition=Q(sold__isnull=True) | Q(delivery__isnull=False), name="order_bags_sold_with_a_delivery"
            ),
        ]

    def __str__(self):
        return f"{self.bags} bags of firelighters"

    @property
    def net(self) -> Decimal:
        return self.bags * self.price

    @property
    def words(self) -> str:
        return f"Firelighters, {self.bags} bag{'' if self.bags == 1 else 's'} at {self.price}"
