"""How much of the set-up is in use."""

from django.db.models import Count, IntegerField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce


def counted(rows: QuerySet, field: str) -> Coalesce:
    """For an annotation: how many of `rows` point at the outer row through their `field`."""
    of_outer = rows.filter(**{field: OuterRef("pk")}).order_by().values(field)
    return Coalesce(Subquery(of_outer.annotate(n=Count("pk")).values("n"), output_field=IntegerField()), 0)
