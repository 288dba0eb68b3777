"""What has happened when a history begins, so that no act has to wait long for its turn."""

from django.db import transaction

from tests.histories.history import History
from tests.histories.opening import Opening

# Steps an order goes on, and the pairs it asks for first: invoiced, gone, packed, set aside, open, a draft.
ORDERS = ((7, 20), (6, 14), (5, 4), (4, 9), (2, 60), (0, 12))
# Candle, what it is hung for, steps the frame goes on: counted off, hanging and dipped, hung.
FRAMES = ((0, [(0, 8)], 4), (1, [], 2), (0, [], 1))


def play_first_weeks(opening: Opening) -> None:
    """By the same acts as every history; the opening's model and clock stand at their end."""
    history = type("FirstWeeks", (History,), {"opening": opening})()
    for shop, (steps, pairs) in enumerate(ORDERS):
        history.take(shop=shop, rows=[(shop, pairs), (shop + 1, pairs // 2)], seconds=0, days=3 + shop, who=shop)
        order = max(history.model.orders)
        for _ in range(steps):
            history.carry(history.model.orders[order], who=0)
            history.look()
    history.pay(shop=0, amount=2000, shares=[(0, 1200)], twice=False, who=1)
    history.make_up(lots=[(0, 5)], twice=False, who=2)
    for candle, wants, steps in FRAMES:
        history.thread(candle=candle, hung=24, wants=wants, who=0)
        frame = max(history.model.frames)
        for _ in range(steps):
            history.carry_frame(history.model.frames[frame], shares=(9, 6, 2), who=candle)
            history.look()
    history.audit()
    transaction.savepoint_commit(history.savepoint)
    opening.model, opening.opened_at, opening.submissions = history.model, opening.clock.now, history.submissions
