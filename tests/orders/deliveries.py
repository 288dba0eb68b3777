"""What the tests of packing and deliveries do again and again, in the domain and over HTTP."""

from datetime import date

from django.urls import reverse
from django.utils import timezone

from orders.domain import packing
from orders.models import Delivery


def today() -> date:
    return timezone.localdate()


def close(delivery: Delivery, by) -> Delivery:
    return packing.close_boxes(delivery=delivery, version=delivery.version, by=by)


def page(client, name: str, *args, query: str = "", status: int = 200) -> str:
    answer = client.get(reverse(name, args=args) + query)
    assert answer.status_code == status
    return answer.content.decode()


def act(client, name: str, pk: int, **data):
    return client.post(reverse(name, args=[pk]), data)
