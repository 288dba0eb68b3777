import uuid

from django.utils import timezone

from orders.domain.complaints import note_complaint
from orders.models import Complaint
from tests.factories.house import make_person


def make_complaint(delivery, by=None, **fields) -> Complaint:
    """Two pairs of the delivery's first line, told of today by the shop that got it."""
    values = {
        "lot": delivery.lines.first().lot,
        "shop": delivery.order.shop,
        "fault": "drip tail",
        "pairs": 2,
        "told_on": timezone.localdate(),
        "submission": uuid.uuid4(),
        **fields,
    }
    return note_complaint(by=by or make_person(), **values)
