"""What every act of a history shares: who does it, what is expected of it, and the look at the book after it."""

import copy
import uuid
from collections import Counter
from decimal import Decimal
from typing import ClassVar

from django.core.exceptions import ValidationError
from django.db import transaction
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant

from inventory.audit import breaches as inventory_breaches
from inventory.models import Lot as LotRow
from orders.audit import breaches as order_breaches
from orders.models import OrderLine, SetAside
from production.audit import breaches as floor_breaches
from tests.histories.model import Line, Lot, Model, Order
from tests.histories.opening import Opening
from tests.histories.pages import open_pages
from tests.histories.reading import hung_for_too_much, read_ledger, read_picture

REFUSED = object()
# Everything a step is told is a small whole number: a step printed is a step that runs again.
PICK = st.integers(0, 40)
PAIRS = st.integers(1, 60)
YES_NO = st.booleans()
SELDOM = st.sampled_from((False,) * 7 + (True,))


class Everything:
    """No rule is left out."""

    @staticmethod
    def is_enabled(_name: str) -> bool:
        return True


class Acting(RuleBasedStateMachine):
    """One history. It begins on the opened book and leaves it as it was."""

    opening: ClassVar[Opening]
    audit_every: ClassVar[int] = 50
    # Over all histories of the process: what was done and what refused, by verb.
    tally: ClassVar[Counter] = Counter()

    def __init__(self):
        super().__init__()
        # By itself hypothesis leaves half of all rules out of a history. That finds what a few acts do to each other,
        # but few orders get to their end: of four histories, three leave nothing out.
        chooser = self._rules_strategy
        chooser.enabled_rules_strategy = st.one_of(*[st.just(Everything())] * 3, chooser.enabled_rules_strategy)
        self.model: Model = copy.deepcopy(self.opening.model)
        self.clock = self.opening.clock
        self.clock.now = self.opening.opened_at
        self.savepoint = transaction.savepoint()
        self.steps, self.submissions = 0, self.opening.submissions
        self.sound = True

    def teardown(self):
        try:
            if self.sound:
                self.audit()
                open_pages(self.opening.client, self.model, self.submissions)
        finally:
            transaction.savepoint_rollback(self.savepoint)

    # Acting

    def who(self, pick: int):
        return self.opening.people[pick % len(self.opening.people)]

    @staticmethod
    def pick(things, pick: int):
        things = list(things)
        return things[pick % len(things)]

    @staticmethod
    def within(pairs: int, most: int) -> int:
        """Mostly 1 to `most`; now and then as many as were drawn, which may be too many."""
        return pairs if pairs % 6 == 5 or most < 1 else 1 + pairs % most

    def submission(self) -> uuid.UUID:
        self.submissions += 1
        return uuid.UUID(int=self.submissions, version=4)

    def attempt(self, verb, refused: bool | None, **arguments):
        """Do it. `refused`: whether the book must refuse it (None: either will do). REFUSED where it was."""
        self.sound, name = False, f"{verb.__module__.rpartition('.')[2]}.{verb.__name__}"
        try:
            done = verb(**arguments)
        except ValidationError as error:
            self.tally[name, "refused"] += 1
            if refused is False:
                raise AssertionError(f"{verb.__name__} was refused: {error.messages}") from error
            return REFUSED
        self.tally[name, "done"] += 1
        assert not refused, f"{verb.__name__} was accepted, and had to be refused"
        return done

    # Looking

    @invariant()
    def look(self):
        """The book says what the model says, whatever the step was."""
        self.sound = False
        told, said = self.model.picture(), read_picture()
        assert told == said, differences(told, said)
        told, said = self.model.ledger(), read_ledger()
        assert told == said, differences(told, said)
        assert not (wrong := hung_for_too_much()), wrong
        self.sound = True
        self.steps += 1
        self.tally["looks", ""] += 1
        self.clock.step()
        if self.steps % self.audit_every == 0:
            self.audit()

    @classmethod
    def taken(cls) -> int:
        """Steps after which the book was looked at so far, in all histories of this process."""
        return cls.tally["looks", ""]

    def audit(self):
        breaches = [*inventory_breaches(), *floor_breaches(), *order_breaches()]
        assert not breaches, breaches

    # Reading what a step made

    def adopt_order(self, row, **more) -> Order:
        """An order new to the model, with its lines."""
        order = Order(
            key=row.pk, number=row.number, shop=row.shop_id, grade=row.grade, ship_by=row.ship_by, status=row.status,
            complete_only=row.complete_only, carriage=Decimal(row.carriage),
            free_above=row.carriage_free_above, discount=row.order_discount,
        )  # fmt: skip
        self.model.orders[row.pk] = order
        self.adopt_lines(row)
        return order

    def adopt_lines(self, row) -> list[Line]:
        """The lines of the order as they were just written; what they ask is for the caller to check."""
        for line in self.model.lines_of(row.pk):
            del self.model.lines[line.key]
        lines = []
        for one in OrderLine.objects.filter(order=row.pk).order_by("position"):
            discount = row.discount if one.takes_discount else 0 * row.discount
            lines.append(
                Line(one.pk, row.pk, one.candle_id, one.pairs, one.price * 100, discount, one.seconds_box_id, one.sent)
            )
        self.model.lines.update({line.key: line for line in lines})
        return lines

    def adopt_new_lots(self, known: set[int], wanted: list[tuple[int, str, int]]) -> list[Lot]:
        """Lots that were just opened: just these, as (candle, grade, pairs)."""
        rows = LotRow.objects.exclude(pk__in=known).order_by("pk")
        made = [Lot(row.pk, row.candle_id, row.grade, row.made_on, row.on_hand) for row in rows]
        assert sorted((lot.candle, lot.grade, lot.on_hand) for lot in made) == sorted(wanted)
        self.model.lots.update({lot.key: lot for lot in made})
        return made

    def adopt_promises(self) -> dict[int, int]:
        """Take over what the house set aside; {line: pairs more}. Promises may only have grown, within what was free.

        The lots of a candle are the house's choice; whether they are free and fit, and how many pairs they must be,
        is not.
        """
        model, grown = self.model, Counter()
        free = {lot: model.free(lot) for lot in model.lots}
        rows = SetAside.objects.order_by().values_list("line", "lot", "pairs", "packed")
        said = {(line, lot): (pairs, packed) for line, lot, pairs, packed in rows}
        assert not (gone := set(model.promises) - set(said)), f"promises gone: {gone}"
        for (line, lot), (pairs, packed) in said.items():
            before = model.promises.get((line, lot), [0, 0])
            more = pairs - before[0]
            assert more >= 0, f"line {line}, lot {lot}: {before[0]} pairs became {pairs}"
            assert packed == before[1], f"line {line}, lot {lot}: {before[1]} packed became {packed}"
            if not more:
                continue
            row, its, order = model.lines[line], model.lots[lot], model.orders[model.lines[line].order]
            assert order.status == "confirmed", f"line {line} is of an order that is {order.status}"
            assert row.box is None, f"line {line} lies in a box"
            assert (its.candle, its.grade) == (row.candle, order.grade), f"lot {lot} does not fill line {line}"
            free[lot] -= more
            assert free[lot] >= 0, f"lot {lot}: more was promised than was free"
            grown[line] += more
        for (line, lot), (pairs, packed) in said.items():
            model.promises[line, lot] = [pairs, packed]
        assert all(model.open(model.lines[line]) >= 0 for line in grown), "a line holds more than it orders"
        return dict(grown)


def differences(told: dict[str, dict], said: dict[str, dict]) -> str:
    """What the model tells and the book says otherwise, a line each."""
    lines = []
    for part, its in told.items():
        for key in sorted({*its, *said[part]}, key=str):
            if its.get(key) != said[part].get(key):
                lines.append(f"{part} {key}: the model {its.get(key)}, the book {said[part].get(key)}")
    return "\n".join(lines)
