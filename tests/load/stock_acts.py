"""What people do to stock, the floor and the plan. Each act yields what was acknowledged, as it is."""

import re
from collections.abc import Iterator
from random import Random

from tests.load.kept import Kept
from tests.load.order_acts import key_in
from tests.load.visitor import Visitor
from tests.load.world import World

Acknowledged = Iterator[Kept]


def count_in(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    candle, word, pairs = rng.choice(list(world.candles.values())), visitor.word(), rng.randint(1, 9)
    page = visitor.get("/count-in/")
    made = visitor.send(page, candle=str(candle), pairs=str(pairs), reason=word)
    if made and made.moved:
        yield Kept("counted", candle, {"word": word, "pairs": pairs})


def adjust(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    """Pairs of a lot break or come back."""
    lot, word, pairs = rng.choice(world.lots), visitor.word(), rng.randint(1, 3)
    page = visitor.get(f"/lots/{lot}/adjust/")
    kind, sign = rng.choice((("damaged", -1), ("returned", 1)))
    done = visitor.send(page, kind=kind, pairs=str(pairs), reason=word)
    if done and done.moved:
        yield Kept("moved", lot, {"word": word, "pairs": sign * pairs})


def grade(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    """One of the next frames that are hard; others reach for the same ones."""
    hard = re.findall(r"/frames/(\d+)/grade/", visitor.get("/floor/to-grade/").text)
    if not hard:
        return
    pk = int(rng.choice(hard[:4]))
    page = visitor.get(f"/frames/{pk}/grade/")
    firsts = rng.randint(30, 46)
    done = visitor.send(page, firsts=str(firsts), remelt=str(48 - firsts))
    if done and done.moved:
        yield Kept("graded", pk, {"firsts": firsts})


def load_sheet(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    """A stock sheet of a few rows, brought in and loaded."""
    word, pairs = visitor.word(), [rng.randint(1, 6) for _ in range(rng.randint(1, 4))]
    rows = [f"{rng.choice(sorted(world.candles))},{each},{word}" for each in pairs]
    data = "\n".join(["Code,Pairs,Reason", *rows, ""]).encode()
    taken = visitor.post("/set-up/sheets/", {"kind": "stock"}, {"file": (f"{word}csv", data)})
    if not taken.moved:
        return
    # Known headings: the page of them sends on by itself.
    page = visitor.get(visitor.get(taken.path).path)
    done = visitor.send(page)
    if done and done.moved:
        yield Kept("loaded", key_in(done), {"word": word, "pairs": pairs})


def plan(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    """A plan found is taken over, or the one that stands is mended."""
    if rng.random() < 0.5 and world.searches:
        search = rng.choice(world.searches)
        visitor.post(f"/dip-list/plan/search/{search}/take/")
        if "The plan stands now." in visitor.get("/dip-list/plan/").text:
            yield Kept("planned", search)
        return
    visitor.post("/dip-list/plan/repair/")
    visitor.get("/dip-list/plan/")


def edit_shop(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    """The notes of a shop hold a number: read, and written one higher. Written over each other, a step is lost."""
    shop = rng.choice(world.shops[:2])
    page = visitor.get(f"/shops/{shop}/edit/")
    form = page.form()
    if form is None:
        return
    stands = int(form.fields["packer_notes"][0].strip() or 0)
    done = visitor.post(form.action, {**form.fields, "packer_notes": str(stands + 1)})
    if done.moved:
        yield Kept("edit", shop)


def look(visitor: Visitor, rng: Random, world: World) -> Acknowledged:
    """Pages that read much while others write."""
    pages = ("/", "/orders/", "/stockroom/", "/packing/", "/ledger/", "/dip-list/", "/floor/to-grade/", "/lots/")
    answer = visitor.get(rng.choice(pages))
    if answer.status == 200 and (link := re.search(r"/orders/(\d+)/\"", answer.text)):
        visitor.tops["order"] = max(visitor.tops.get("order", 0), int(link[1]))
    yield from ()
