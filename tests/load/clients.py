"""Several people at the book at once: what each was told, and whether all of it is true afterwards."""

from collections.abc import Iterable
from dataclasses import asdict
from random import Random

from tests.load.acts import do_acts, hand_out
from tests.load.client_visitor import ClientVisitor
from tests.load.kept import Kept, unsound, verify
from tests.load.world import World


def day(world: World, name: str, seed: str) -> dict:
    """One person's share of the day. What was acknowledged and what went wrong, as JSON takes it."""
    people = list(world.sessions)
    acts = hand_out(seed, len(people))[people.index(name)]
    visitor = ClientVisitor(name, world.sessions[name], f"{name} {seed}")
    kept = [asdict(one) for one in do_acts(visitor, Random(f"{seed} {name}"), world, acts)]
    return {"kept": kept, "faults": visitor.faults, "took": visitor.took["POST"]}


def complaints(days: Iterable[dict]) -> list[str]:
    """Everything that was not as it must be: answers, acknowledged changes, the book as a whole."""
    days = list(days)
    kept = [Kept(**one) for each in days for one in each["kept"]]
    faults = [fault for each in days for fault in each["faults"]]
    return [*faults, *verify(kept, all_answered=True), *unsound()]


def done(days: Iterable[dict]) -> set[str]:
    """The kinds of change that were acknowledged to anybody."""
    return {one["kind"] for each in days for one in each["kept"]}
