"""A history: whatever a workshop does in a few weeks, in any order."""

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from tests.histories.acting import PICK
from tests.histories.bench_acts import Bench
from tests.histories.grading_acts import Graders
from tests.histories.model import CANCELLED, CONFIRMED, DRAFT, LEFT, PACKING, SECONDS, Frame, Line, Order
from tests.histories.orders_acts import MOST_OPEN, Aside
from tests.histories.paper_acts import Papers
from tests.histories.payment_acts import Payments
from tests.histories.seconds_acts import SecondsShelf
from tests.histories.stock_acts import Stock


class History(Aside, Stock, Bench, SecondsShelf, Papers, Payments, Graders):
    """Single acts, and acts that carry an order or a frame one step on: by chance alone few would get to the end."""

    # First by name and doing nothing at its least: hypothesis begins with a history of nothing else.
    @rule(days=st.integers(0, 5))
    def a_few_days_pass(self, days):
        self.clock.days(days)

    @rule(order=PICK, who=PICK)
    @precondition(lambda self: self.on_their_way())
    def carry_on(self, order, who):
        self.carry(self.pick(self.on_their_way(), order), who)

    @rule(who=PICK)
    @precondition(lambda self: self.on_their_way())
    def carry_oldest_on(self, who):
        self.carry(self.on_their_way()[0], who)

    def on_their_way(self) -> list[Order]:
        """Orders that are not cancelled and have something left to do."""
        its = [order for order in self.model.orders.values() if order.status != CANCELLED]
        return [order for order in its if order.status in (DRAFT, CONFIRMED) or self.not_invoiced(order)]

    def not_invoiced(self, order: Order) -> list:
        gone = [one for one in self.model.deliveries.values() if one.order == order.key and one.state == LEFT]
        return [one for one in gone if not self.model.live_invoice(one.key)]

    def carry(self, order: Order, who: int) -> None:
        """The next step on the order's way, whatever the answer."""
        model = self.model
        waiting = model.waiting(order.key)
        if self.not_invoiced(order):
            self.invoice_these(order.shop, {one.key for one in self.not_invoiced(order)}, who)
        elif order.status == DRAFT:
            self.confirm_this(order, False, who)
        elif waiting and waiting[0].state == PACKING:
            self.close_this(waiting[0], False, who)
        elif waiting:
            self.van_left_with(waiting[0], False, who)
        elif any(model.aside(line.key) for line in model.lines_of(order.key)):
            self.pack_this(order, who)
        elif lacks := [line for line in model.lines_of(order.key) if self.out_of_stock(line)]:
            self.found_for(lacks[0], who)
        else:
            self.set_aside_this(order, who)

    def out_of_stock(self, line: Line) -> bool:
        return self.model.open(line) > self.model.free_of(line.candle, self.model.orders[line.order].grade)

    def found_for(self, line: Line, who: int) -> None:
        """Just as many pairs as the line lacks come to light."""
        place = next(n for n, candle in enumerate(self.opening.candles) if candle.pk == line.candle)
        second = self.model.orders[line.order].grade == SECONDS
        self.count_in(candle=place, pairs=self.model.open(line), second=second, days=3, who=who)

    @rule(shop=PICK, candle=PICK, pairs=st.integers(1, 30), who=PICK)
    @precondition(lambda self: len(self.model.orders_in(DRAFT, CONFIRMED)) < MOST_OPEN)
    def the_usual(self, shop, candle, pairs, who):
        """A shop rings: taken, confirmed, set aside."""
        self.take(shop=shop, rows=[(candle, pairs), (candle + 1, pairs)], seconds=0, days=7, who=who)
        order = self.model.orders[max(self.model.orders)]
        self.confirm_this(order, False, who)
        self.set_aside_this(self.model.orders[order.key], who)

    @rule(frame=PICK, shares=st.tuples(*[st.integers(0, 12)] * 3), who=PICK)
    @precondition(lambda self: self.frames_alive())
    def carry_frame_on(self, frame, shares, who):
        self.carry_frame(self.pick(self.frames_alive(), frame), shares, who)

    def carry_frame(self, frame: Frame, shares, who: int) -> None:
        """The next step of a frame: hung over a vat of its colour, dipped, taken off, counted off."""
        if frame.state == "threaded":
            self.hang_where_it_fits(frame, who)
        elif frame.state == "hanging" and not frame.dips:
            self.turn(run=who, times=3, who=who)
        elif frame.state == "hanging":
            self.take_this_down(frame, True, who)
        else:
            self.grade_this(frame, shares, False, False, who)

    def hang_where_it_fits(self, frame: Frame, who: int) -> None:
        place = next(n for n, candle in enumerate(self.opening.candles) if candle.pk == frame.candle)
        if not any(run.vat_id == self.opening.vats[place].pk for run in self.open_runs()):
            self.begin(carousel=place, vat=place, who=who)
        for run in self.open_runs():
            if run.vat_id == self.opening.vats[place].pk:
                self.hang_this(frame, run.carousel, 1 + who % 6, who)
