"""Sentences about seconds and the boxes made up of them. No Django here: weights in g."""

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal

from inventory.words import counted, in_pairs

# Scales and sum differ by damp, drips and the candles' own spread; beyond this it is a slip or a miscount.
MOST_OFF_PERCENT = 15  # common practice, no source


def in_kilos(grams: int | Decimal) -> str:
    """ "2.350 kg": to the gram, as kitchen scales show it."""
    return f"{(Decimal(grams) / 1000).quantize(Decimal('0.001'), ROUND_HALF_UP)} kg"


def off_by(weighed: int, reckoned: Decimal) -> Decimal:
    """Percent by which the scales differ from the sum, above nought where they say more; to a tenth."""
    return ((weighed - reckoned) * 100 / reckoned).quantize(Decimal("0.1"), ROUND_HALF_UP)


def weights_in_words(weighed: int, reckoned: Decimal) -> str:
    """What the scales say beside what the candles' size and wax come to; not weighed, a box weighs just that."""
    if weighed == max(1, round(reckoned)):
        return f"Its weight, {in_kilos(weighed)}, is what size and wax of the candles come to."
    off = off_by(weighed, reckoned)
    said = f"The scales say {in_kilos(weighed)}; size and wax of the candles come to {in_kilos(reckoned)}"
    return f"{said}, {abs(off)} % {'less' if off > 0 else 'more'}."


def faults_in_words(faults: Iterable[tuple[str, int]]) -> str:
    """ "9 bent, 3 ripples": the most of them first; (fault, pairs) of one fault are added up."""
    found: dict[str, int] = {}
    for fault, pairs in faults:
        found[fault] = found.get(fault, 0) + pairs
    return ", ".join(f"{pairs:,} {fault}" for fault, pairs in sorted(found.items(), key=lambda one: (-one[1], one[0])))


def age_in_words(days: Iterable[int]) -> str:
    """ "40 days old"; of several lots "3 lots, 11 to 45 days old"."""
    days = sorted(days)
    said = "dipped today" if not days[-1] else f"{counted(days[-1], 'day')} old"
    if len(days) == 1:
        return said
    return (
        f"{len(days)} lots, {said}" if days[0] == days[-1] else f"{len(days)} lots, {days[0]} to {days[-1]} days old"
    )


def gone_to(code: str, *, state: str, order: int | None, shop: str) -> str:
    """Why a box cannot be had."""
    if state == "opened":
        return f"{code} was opened again: its pairs lie on the shelf singly."
    return f"{code} is gone: {shop} took it on order {order}."


def box_sentence(code: str, *, state: str, pairs: int, weight_g: int, price: str, whose: str) -> str:
    """The first line of a box's page."""
    what = f"{in_pairs(pairs)} of seconds, {in_kilos(weight_g)}"
    if state == "opened":
        return f"{code} was opened: its {what} are no longer together."
    if state == "sold":
        return f"{code} is sold to {whose}: {what}."
    costs = f" costs {price}" if price else " has no price yet"
    return f"{code} stands on the shelf and{costs}: {what}."


def shelf_sentence(*, pairs: int, lots: int, boxes: int, in_boxes: int, worth: str) -> str:
    """The first line of the seconds shelf."""
    parts = []
    if pairs:
        parts.append(f"{in_pairs(pairs)} of seconds {'is' if pairs == 1 else 'are'} free in {counted(lots, 'lot')}")
    if boxes:
        parts.append(f"{counted(boxes, 'box', 'boxes')} of {in_pairs(in_boxes)} {'stands' if boxes == 1 else 'stand'}")
    if not parts:
        return "The seconds shelf is empty: nothing to sell."
    sentence = " and ".join(parts) + (" made up" if boxes else "")
    return f"{sentence[:1].upper()}{sentence[1:]}, worth {worth}{' in all' if len(parts) > 1 else ''}."


def boxes_in_words(boxes: Iterable) -> str:
    """ "2 boxes of 31 pairs"; empty for none. Each box knows its `pairs`."""
    held = [box.pairs for box in boxes]
    return f"{counted(len(held), 'box', 'boxes')} of {in_pairs(sum(held))}" if held else ""


def list_sentence(*, boxes: int, in_boxes: int, pairs: int) -> str:
    """What a seconds list offers."""
    parts = []
    if boxes:
        parts.append(f"{counted(boxes, 'box', 'boxes')} of {in_pairs(in_boxes)}")
    if pairs:
        parts.append(f"{in_pairs(pairs)} one by one" if boxes else in_pairs(pairs))
    return f"We have seconds to sell: {' and '.join(parts)}." if parts else "We have no seconds to sell just now."


def boxes_sentence(stands: dict[str, int]) -> str:
    """The first line of the list of all boxes; `stands`: how many are on the shelf, sold and opened."""
    if not any(stands.values()):
        return "No box of seconds was made up yet."
    shelf = stands["on the shelf"]
    said = f"{counted(shelf, 'box', 'boxes')} of seconds {'stands' if shelf == 1 else 'stand'} on the shelf"
    return f"{said}; {stands['sold']} sold, {stands['opened']} opened again."


def sending_sentence(*, wanting: int, had: int, to_send: int) -> str:
    """The first line of the page that sends the seconds list."""
    if not wanting:
        return "No shop wants the seconds list yet: say so on a shop's page."
    who = f"{counted(wanting, 'shop')} {'wants' if wanting == 1 else 'want'} the seconds list"
    had_it = f"; {had} had today's" if had else ""
    waits = f", {to_send} can have it now" if to_send else ""
    return f"{who}{had_it}{waits}."


def old_sentence(*, pairs: int, lots: int, grams: Decimal, before: str) -> str:
    """The first line of what is offered for remelt."""
    if not lots:
        return f"Nothing that was dipped before {before} lies free on the seconds shelf."
    what = f"{in_pairs(pairs)} of seconds dipped before {before} {'lies' if pairs == 1 else 'lie'} free"
    return f"{what} in {counted(lots, 'lot')}: {in_kilos(grams)} of wax, if they go to the remelt."


def holders_sentence(code: str, *, on_hand: int, promised: int, orders: int, boxed: int, boxes: int) -> str:
    """Who holds a lot's pairs: orders, and boxes of seconds that no confirmed order has."""
    of = f"of the {in_pairs(on_hand)} of {code}"
    aside = f"{_verb(promised)} set aside for {counted(orders, 'order')}"
    in_boxes = f"{_verb(boxed, 'lies', 'lie')} in {counted(boxes, 'box', 'boxes')} of seconds"
    if promised:
        return f"{promised:,} {of} {aside}" + (f" and {boxed:,} {in_boxes}." if boxed else ".")
    if boxed:
        return f"{boxed:,} {of} {in_boxes}."
    return f"Nobody holds pairs of {code}; {on_hand:,} {_verb(on_hand, 'lies', 'lie')} in the stockroom."


def _verb(number: int, one: str = "is", many: str = "are") -> str:
    return one if number == 1 else many
