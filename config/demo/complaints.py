"""Three complaints of the past weeks: two closed, one open. Through the domain's own doors."""

import uuid
from datetime import date, timedelta

from orders.domain.complaints import close_complaint, follow_complaint, note_complaint
from orders.models import Complaint, DeliveryLine
from orders.models.delivery import LEFT

OF_THE_DEMO = uuid.UUID("5f0f4f4b-5c55-4a27-9c6e-0b4b6a0c51d2")
# (days ago, pairs, fault, what they said, what was done, whether it was ours); without an end it is open.
TOLD = (
    (47, 2, "drip tail", "They drip on the cloth, both candles.", "Two pairs sent with the next order.", True),
    (21, 3, "smokes", "A customer says they smoke.", "They burnt in a draught by the door.", False),
    (4, 4, "base not level", "Four pairs wobble in the holder.", "", True),
)  # fmt: skip


def write_complaints(today: date, person) -> None:
    """Each of a lot that left some days before somebody told of it."""
    for place, (ago, pairs, fault, words, done, ours) in enumerate(TOLD):
        told_on = today - timedelta(days=ago)
        lines = DeliveryLine.objects.filter(delivery__state=LEFT, lot__grade="firsts", pairs__gte=12)
        lines = lines.filter(delivery__left_on__lte=told_on - timedelta(days=3)).select_related(
            "lot", "delivery__order__shop"
        )
        line = lines.order_by("-delivery__left_on", "-pk").first()
        if line is None:
            continue
        row = note_complaint(
            lot=line.lot, shop=line.delivery.order.shop, fault=fault, pairs=pairs, told_on=told_on, words=words,
            submission=uuid.uuid5(OF_THE_DEMO, str(place)), by=person,
        )  # fmt: skip
        if done:
            close_complaint(complaint=row, version=row.version, done=done, ours=ours, by=person)
            Complaint.objects.filter(pk=row.pk).update(closed_on=told_on + timedelta(days=2))
        else:
            follow_complaint(complaint=row, version=row.version, note="Asked them for a photograph.", by=person)
