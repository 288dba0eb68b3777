"""A link by which a shop sees one order of its own, without signing in."""

from django.conf import settings
from django.db import models
from django.db.models import Q


class ShopLink(models.Model):
    """The token in the link is signed from `nonce` with the book's secret key (orders.domain.shop_links) and kept only
    as its hash: whoever reads this table, or a copy of it, cannot open the page. It ends by itself, or is withdrawn.
    """

    order = models.ForeignKey("orders.Order", on_delete=models.PROTECT, related_name="shop_links")
    nonce = models.CharField(max_length=32, unique=True)
    token_sha256 = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    ends_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True, withdrawn_by__isnull=True)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="shop_link_withdrawn_by_somebody",
            )
        ]

    def __str__(self):
        return f"link to order {self.order_id}"
