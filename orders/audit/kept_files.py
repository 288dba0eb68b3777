"""Kept files are what they were; a form come back stands with an order of the shop it was made for."""

import hashlib
from collections.abc import Iterator

from django.db.models import F

from orders.models import FormBack, KeptFile


def breaches() -> Iterator[str]:
    for file in KeptFile.objects.order_by("pk").iterator(chunk_size=20):
        if hashlib.sha256(bytes(file.content)).hexdigest() != file.sha256:
            yield f"kept file {file.pk} ({file.name}): its content does not fit its digest"
    strays = FormBack.objects.exclude(form=None).exclude(form__shop=F("order__shop"))
    for back in strays.select_related("form__shop", "order__shop"):
        yield f"{back.form} was made for {back.form.shop}, but came back as order {back.order.number} of another shop"
