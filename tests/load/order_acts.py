"""What people do to orders, from taking one to the invoice. Each act yields what was acknowledged, as it is."""

import re
import uuid
from collections.abc import Iterator
from random import Random

from tests.load.kept import Kept
from tests.load.visitor import Answer, Visitor
from tests.load.world import World

Acknowledged = Iterator[Kept]
NEAR = 24  # how far back visitors look for orders and deliveries: few enough that they meet


def key_in(answer: Answer) -> int:
    """The last number in the path the answer leads to."""
    return int(re.findall(r"\d+", answer.path)[-1])


def some_order(visitor: Visitor, rng: Random, world: World) -> int:
    top = visitor.tops.setdefault("order", world.last_order)
    return rng.randint(max(world.first_order, top - NEAR), top)


def some_delivery(visitor: Visitor, rng: Random, world: World) -> int:
    top = visitor.tops.setdefault("delivery", world.last_delivery)
    return rng.randint(max(1, top - NEAR // 2), max(1, top))


def saw(visitor: Visitor, what: str, key: int) -> int:
    visitor.tops[what] = max(key, visitor.tops.get(what, 0))
    return key


def take_order(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    """A draft for a shop, its rows typed, and the order confirmed."""
    begun = visitor.post("/orders/new/", {"shop": str(rng.choice(world.shops)), "submission": str(uuid.uuid4())})
    if not begun.moved:
        return
    number = saw(visitor, "order", key_in(begun))
    lines = [(code, rng.randint(1, 8) * 3) for code in rng.sample(sorted(world.candles), rng.randint(1, 3))]
    page = visitor.get(f"/orders/{number}/entry/")
    rows = {"code": [code for code, _ in lines], "pairs": [str(pairs) for _, pairs in lines]}
    rows |= {"line": [""] * len(lines), "ship_by": world.until}
    form = page.form(f"/orders/{number}/entry/save/")
    if form is None:
        return
    taken = visitor.post(f"/orders/{number}/entry/confirm/", {**form.fields, **rows})
    if taken.moved:
        yield Kept("taken", number, {"lines": lines})


def set_aside(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    number = some_order(visitor, rng, world)
    # Seen first, as a person does: what an earlier act had to say is said then and not taken for this one's answer.
    visitor.get(f"/orders/{number}/")
    if visitor.post(f"/orders/{number}/set-aside/").moved:
        page = visitor.get(f"/orders/{number}/")
        if said := re.search(r"(\d+) pairs set aside[;,]", page.text):
            yield Kept("set aside", number, {"pairs": int(said[1])})


def set_aside_all(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    """The whole book at once: every order is locked."""
    if done := visitor.send(visitor.get("/orders/"), "/orders/set-aside/"):
        visitor.get(done.path)
    yield from ()


def cancel(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    number, word = some_order(visitor, rng, world), visitor.word()
    page = visitor.get(f"/orders/{number}/cancel/")
    done = visitor.send(page, reason=word)
    # One called off already answers as done, too: its reason is another's.
    if done and done.moved and word in visitor.get(f"/orders/{number}/").text:
        yield Kept("cancelled", number, {"word": word})


def note(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    """The order's header is changed from the page just opened; whoever was quicker makes it refused."""
    number, word = some_order(visitor, rng, world), visitor.word()
    changed = visitor.send(visitor.get(f"/orders/{number}/header/"), notes=word)
    if changed and changed.moved:
        yield Kept("noted", number, {"word": word})


def change_pairs(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    number = some_order(visitor, rng, world)
    lines = re.findall(r"/lines/(\d+)/pairs/", visitor.get(f"/orders/{number}/").text)
    if lines:
        page = visitor.get(f"/lines/{rng.choice(lines)}/pairs/")
        visitor.send(page, pairs=str(rng.randint(0, 30)))
    yield from ()


def release(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    visitor.send(visitor.get(f"/orders/{some_order(visitor, rng, world)}/release/"), reason=visitor.word())
    yield from ()


def pack(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    """Boxes are proposed, then closed: the note takes its number."""
    started = visitor.post(f"/orders/{some_order(visitor, rng, world)}/packing/", {"van_day": ""})
    if not started.moved:
        return
    pk = saw(visitor, "delivery", key_in(started))
    closed = visitor.send(visitor.get(f"/deliveries/{pk}/"), f"/deliveries/{pk}/close/")
    if closed and closed.moved:
        yield Kept("boxed", pk)


def let_go(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    """The van leaves with a delivery; sometimes it is unpacked instead."""
    pk = some_delivery(visitor, rng, world)
    page = visitor.get(f"/deliveries/{pk}/")
    if rng.random() < 0.8:
        gone = visitor.send(page, f"/deliveries/{pk}/left/")
        if gone and gone.moved:
            yield Kept("left", pk)
        return
    word = visitor.word()
    back = visitor.send(page, f"/deliveries/{pk}/unpack/", reason=word)
    if back and back.moved and word in visitor.get(f"/deliveries/{pk}/").text:
        yield Kept("unpacked", pk, {"word": word})


def invoice(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    """All that left for a shop goes on one invoice, as its page proposes."""
    page = visitor.get(f"/ledger/shops/{rng.choice(world.shops)}/new/")
    if (form := page.form()) is None:
        return
    made = visitor.post(form.action, form.fields)
    if made.moved:
        yield Kept("invoiced", key_in(made), {"deliveries": [int(pk) for pk in form.fields["delivery"]]})


def pay(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    shop, word = rng.choice(world.shops), visitor.word()
    amount = f"{rng.randint(100, 9000) / 100:.2f}"
    paid = visitor.send(visitor.get(f"/shops/{shop}/payments/new/"), amount=amount, reference=word)
    if paid and paid.moved:
        yield Kept("paid", shop, {"word": word})
