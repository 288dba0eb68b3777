"""All acts of the load, how often each is done, and a visitor's day of them."""

from collections.abc import Callable, Iterable, Iterator
from random import Random

from tests.load import order_acts as orders
from tests.load import stock_acts as stock
from tests.load.kept import Kept
from tests.load.visitor import Visitor
from tests.load.world import World

Act = Callable[[Visitor, Random, World], Iterator[Kept]]
# The last pairs are fought for most.
ACTS: dict[str, tuple[Act, int]] = {
    "take order": (orders.take_order, 6),
    "set aside": (orders.set_aside, 10),
    "set aside all": (orders.set_aside_all, 2),
    "change pairs": (orders.change_pairs, 2),
    "note": (orders.note, 2),
    "release": (orders.release, 2),
    "cancel": (orders.cancel, 2),
    "pack": (orders.pack, 8),
    "let go": (orders.let_go, 6),
    "invoice": (orders.invoice, 5),
    "pay": (orders.pay, 2),
    "count in": (stock.count_in, 2),
    "adjust": (stock.adjust, 3),
    "grade": (stock.grade, 4),
    "load sheet": (stock.load_sheet, 2),
    "plan": (stock.plan, 1),
    "edit shop": (stock.edit_shop, 3),
    "look": (stock.look, 3),
}


def some_act(rng: Random) -> str:
    return rng.choices(list(ACTS), [weight for _, weight in ACTS.values()])[0]


def hand_out(seed: str, people: int) -> list[list[str]]:
    """Every act as often as its weight says, shuffled and dealt to so many people."""
    deck = [name for name, (_, weight) in ACTS.items() for _ in range(weight)]
    Random(seed).shuffle(deck)
    return [deck[place::people] for place in range(people)]


def do_acts(visitor: Visitor, rng: Random, world: World, names: Iterable[str]) -> Iterator[Kept]:
    """The named acts in their turn; yields each acknowledgement as it comes. `Gone` where the server went."""
    for name in names:
        yield from ACTS[name][0](visitor, rng, world)
