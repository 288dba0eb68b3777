"""What stands in the way of packing or sending an order. No Django here: facts in, a reason in words out."""

from inventory.words import in_pairs

CONFIRMED = "confirmed"


def why_not_sent(order) -> str:
    """Why nothing of this order may leave now; empty where it may. `order` comes with its shop."""
    shop = order.shop
    if order.status != CONFIRMED:
        return f"Order {order.number} is {order.status}, not confirmed."
    if shop.on_stop:
        return f"{shop.name} is on stop: {shop.stop_reason}."
    if shop.reference_required and not order.reference.strip():
        return f"{shop.name} needs its own reference on order {order.number}: ask for it and write it in."
    if order.deliver_to_id is None:
        return f"Order {order.number} has no delivery address."
    return ""


def why_not_packed(order, *, ready: int, owed: int, over_limit: bool = False) -> str:
    """Why this order cannot be packed now; empty where it can.

    ready: pairs set aside and in no box yet. owed: pairs ordered and not yet sent. over_limit: whether the shop owes
    more than its credit limit (orders.queries.credit).
    """
    if reason := why_not_sent(order):
        return reason
    if over_limit:
        return (
            f"{order.shop.name} owes more than its credit limit: nothing more is packed until it has paid, or the "
            "limit is raised on its page."
        )
    if not ready:
        return f"Order {order.number} has nothing set aside that is not packed already."
    if order.complete_only and ready < owed:
        missing = in_pairs(owed - ready)
        verb = "is" if owed - ready == 1 else "are"
        return (
            f"{order.shop.name} takes complete deliveries only, and {missing} of order {order.number} {verb} missing."
        )
    return ""
