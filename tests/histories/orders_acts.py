"""Orders: taken, changed, confirmed, called off; pairs set aside for them, taken back and handed over."""

from datetime import timedelta
from decimal import Decimal

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from orders.domain import changing, ordering, releasing, setting_aside
from orders.models import Order as OrderRow
from orders.models import OrderLine, SetAside
from tests.histories.acting import PAIRS, PICK, REFUSED, SELDOM, Acting
from tests.histories.model import CANCELLED, CONFIRMED, DRAFT, FIRSTS, SECONDS, Order

ROWS = st.lists(st.tuples(PICK, PAIRS), min_size=1, max_size=3)
MOST_OPEN = 9  # orders at once: with more, none of them gets anywhere


class Orders(Acting):
    def row(self, order: Order) -> OrderRow:
        return OrderRow.objects.get(pk=order.key)

    def rows_of(self, rows) -> list[ordering.Row]:
        candles = self.opening.candles
        return [ordering.Row(candles[candle % len(candles)], pairs) for candle, pairs in rows]

    @rule(shop=PICK, rows=ROWS, seconds=PICK, days=st.integers(0, 20), who=PICK)
    @precondition(lambda self: len(self.model.orders_in(DRAFT, CONFIRMED)) < MOST_OPEN)
    def take(self, shop, rows, seconds, days, who):
        """A draft is begun and typed; begun twice by the same form it is one."""
        by, shop, submission = self.who(who), self.pick(self.opening.shops, shop), self.submission()
        grade = SECONDS if seconds % 4 == 3 else FIRSTS
        begun = {"shop": shop, "submission": submission, "by": by, "grade": grade}
        made = self.attempt(ordering.start_draft, False, **begun)
        again = self.attempt(ordering.start_draft, False, **begun)
        assert made.pk == again.pk
        assert made.number == self.model.numbers["order"]
        self.model.take_number("order")
        header = {"ship_by": self.clock.today + timedelta(days=days)}
        if seconds % 5 == 4:
            header.update(order_discount=Decimal("7.5"), order_discount_reason="first order")
        self.write(made, made.version, rows, by, header)

    @rule(order=PICK, rows=ROWS, stale=SELDOM, who=PICK)
    @precondition(lambda self: self.loose_drafts())
    def write_anew(self, order, rows, stale, who):
        row = self.row(self.pick(self.loose_drafts(), order))
        kept = list(OrderLine.objects.filter(order=row).values_list("candle_id", "pairs"))
        if kept != [(one.candle.pk, one.pairs) for one in self.rows_of(rows)]:
            self.write(row, row.version - stale, rows, self.who(who), {}, refused=stale)

    def loose_drafts(self) -> list[Order]:
        """Drafts without a box of seconds."""
        boxed = {line.order for line in self.model.lines.values() if line.box}
        return [order for order in self.model.orders_in(DRAFT) if order.key not in boxed]

    def write(self, row, version, rows, by, header, *, refused=False):
        wanted = self.rows_of(rows)
        saved = self.attempt(
            ordering.save_draft, refused, order=row, version=version, header=header, rows=wanted, by=by
        )
        if saved is not REFUSED:
            self.adopt_order(saved)
            lines = [(line.candle, line.pairs) for line in self.model.lines_of(row.pk)]
            assert lines == [(one.candle.pk, one.pairs) for one in wanted]

    @rule(order=PICK, stale=SELDOM, who=PICK)
    @precondition(lambda self: self.model.orders_in(DRAFT, CONFIRMED))
    def confirm(self, order, stale, who):
        self.confirm_this(self.pick(self.model.orders_in(DRAFT, CONFIRMED), order), stale, who)

    def confirm_this(self, order: Order, stale, who) -> None:
        was, row, late = order.status, self.row(order), order.ship_by < self.clock.today
        refused = was == DRAFT and (stale or late or not self.model.lines_of(order.key))
        boxes = [box for box in self.model.boxes.values() if box.order == order.key]
        done = self.attempt(ordering.confirm_order, refused, order=row, version=row.version - stale, by=self.who(who))
        if done is REFUSED or was != DRAFT:
            return
        self.adopt_order(done)
        # What lies in the order's boxes is set aside for their lines at once.
        for line, lot, pairs in SetAside.objects.filter(line__order=row).values_list("line", "lot", "pairs"):
            assert self.model.lines[line].box
            self.model.promises[line, lot] = [pairs, 0]
        for box in boxes:
            its = [line.key for line in self.model.lines_of(order.key) if line.box == box.key]
            for lot, pairs in box.contents.items():
                assert sum(self.model.promises.get((line, lot), (0,))[0] for line in its) == pairs

    @rule(order=PICK, stale=SELDOM, who=PICK)
    @precondition(lambda self: self.model.orders_in(DRAFT))
    def discard(self, order, stale, who):
        order = self.pick(self.model.orders_in(DRAFT), order)
        row = self.row(order)
        done = self.attempt(ordering.discard_draft, stale, order=row, version=row.version - stale, by=self.who(who))
        if done is not REFUSED:
            asked = {line.key: line.pairs for line in self.model.lines_of(order.key)}
            self.put_boxes_back(order)
            for line in self.model.lines_of(order.key):
                line.pairs = asked[line.key]
            order.status = CANCELLED

    def put_boxes_back(self, order: Order) -> None:
        for box in [box for box in self.model.boxes.values() if box.order == order.key]:
            if not self.model.has_left(box):
                self.model.put_box_back(box)

    @rule(line=PICK, pairs=st.integers(0, 60), stale=SELDOM, who=PICK)
    @precondition(lambda self: self.model.orders_in(CONFIRMED))
    def change_pairs(self, line, pairs, stale, who):
        model = self.model
        its = {order.key for order in model.orders_in(CONFIRMED)}
        line = self.pick([line for line in model.lines.values() if line.order in its], line)
        order = model.orders[line.order]
        others = any(other.pairs for other in model.lines_of(order.key) if other is not line)
        fixed = line.sent + model.packed(line.key)
        same = pairs == line.pairs
        refused = stale or bool(line.box) or (not same and (pairs < fixed or (not pairs and not others)))
        row = OrderLine.objects.get(pk=line.key)
        done = self.attempt(
            changing.change_pairs, refused, line=row, pairs=pairs, version=self.row(order).version - stale,
            by=self.who(who),
        )  # fmt: skip
        if done is not REFUSED and not same:
            line.pairs = pairs
            model.free_newest(line, max(0, -model.open(line)))
            model.finish(order)

    @rule(order=PICK, candle=PICK, pairs=PAIRS, who=PICK)
    @precondition(lambda self: self.model.orders_in(CONFIRMED))
    def add_line(self, order, candle, pairs, who):
        order, candle = self.pick(self.model.orders_in(CONFIRMED), order), self.pick(self.opening.candles, candle)
        row, before = self.row(order), [line.key for line in self.model.lines_of(order.key)]
        line = self.attempt(
            changing.add_line, False, order=row, candle=candle, pairs=pairs, version=row.version, by=self.who(who)
        )
        self.adopt_lines(self.row(order))
        assert [one.key for one in self.model.lines_of(order.key)] == [*before, line.pk]
        assert (line.candle_id, line.pairs) == (candle.pk, pairs)

    @rule(order=PICK, days=st.integers(-2, 20), who=PICK)
    @precondition(lambda self: self.model.orders_in(CONFIRMED))
    def change_day(self, order, days, who):
        order = self.pick(self.model.orders_in(CONFIRMED), order)
        row, day = self.row(order), self.clock.today + timedelta(days=days)
        refused = days < 0 and day != order.ship_by
        done = self.attempt(
            changing.change_header, refused, order=row, reference="PO 7", ship_by=day, deliver_to=row.deliver_to,
            notes="", version=row.version, by=self.who(who),
        )  # fmt: skip
        if done is not REFUSED:
            order.ship_by = day

    @rule(order=PICK, stale=SELDOM, who=PICK)
    @precondition(lambda self: self.model.orders_in(CONFIRMED, CANCELLED))
    def call_off(self, order, stale, who):
        model, order = self.model, self.pick(self.model.orders_in(CONFIRMED, CANCELLED), order)
        was, row = order.status, self.row(order)
        refused = was == CONFIRMED and (stale or bool(model.waiting(order.key)))
        done = self.attempt(
            changing.cancel_order,
            refused,
            order=row,
            version=row.version - stale,
            reason="they rang",
            by=self.who(who),
        )
        if done is REFUSED or was == CANCELLED:
            return
        asked = {line.key: line.pairs for line in model.lines_of(order.key)}
        self.put_boxes_back(order)
        part_sent = any(line.sent for line in model.lines_of(order.key))
        for line in model.lines_of(order.key):
            model.free_newest(line, model.aside(line.key))
            line.pairs = line.sent if part_sent else asked[line.key]
        order.status = "done" if part_sent else CANCELLED


class Aside(Orders):
    @rule(order=PICK, who=PICK)
    @precondition(lambda self: self.model.orders)
    def set_aside(self, order, who):
        self.set_aside_this(self.pick(self.model.orders.values(), order), who)

    def set_aside_this(self, order: Order, who) -> None:
        result = self.attempt(setting_aside.set_aside_order, False, order=self.row(order), by=self.who(who))
        self.check_set_aside(result, [order] if order.status == CONFIRMED else [])

    @rule(who=PICK)
    @precondition(lambda self: self.model.orders_in(CONFIRMED))
    def set_aside_all(self, who):
        result = self.attempt(setting_aside.set_aside_book, False, by=self.who(who))
        self.check_set_aside(result, self.model.orders_in(CONFIRMED))

    def check_set_aside(self, result, orders: list[Order]) -> None:
        """Only these orders got pairs; what could be filled was; all or nothing where the shop takes no less."""
        model = self.model
        grown = self.adopt_promises()
        keys = {order.key for order in orders}
        assert {model.lines[line].order for line in grown} <= keys
        assert result.pairs == sum(grown.values())
        open_lines = {order.key: [line for line in model.lines_of(order.key) if model.open(line)] for order in orders}
        assert result.short == sum(model.open(line) for lines in open_lines.values() for line in lines)
        for order in orders:
            wanted: dict[int, int] = {}
            for line in open_lines[order.key]:
                wanted[line.candle] = wanted.get(line.candle, 0) + model.open(line)
            free = {candle: model.free_of(candle, order.grade) for candle in wanted}
            if not order.complete_only:
                assert not any(free.values()), f"order {order.number}: open pairs, and {free} free"
            elif wanted:
                assert not any(line in grown for line in (one.key for one in model.lines_of(order.key)))
                assert any(free[candle] < pairs for candle, pairs in wanted.items()), f"order {order.number} could go"

    @rule(order=PICK, stale=SELDOM, who=PICK)
    @precondition(lambda self: self.model.promises)
    def release_all(self, order, stale, who):
        model = self.model
        order = self.pick(
            [model.orders[key] for key in sorted({model.lines[x].order for x, _ in model.promises})], order
        )
        row = self.row(order)
        done = self.attempt(
            releasing.release_order, stale, order=row, by=self.who(who), reason="", version=row.version - stale
        )
        if done is not REFUSED:
            for line in model.lines_of(order.key):
                if not line.box:
                    model.free_newest(line, model.aside(line.key) - model.packed(line.key))

    @rule(promise=PICK, pairs=PAIRS, who=PICK)
    @precondition(lambda self: self.model.promises)
    def release(self, promise, pairs, who):
        model = self.model
        line, lot = self.pick(sorted(model.promises), promise)
        promised, packed = model.promises[line, lot]
        pairs = self.within(pairs, promised - packed)
        refused = bool(model.lines[line].box) or pairs > promised - packed
        row = SetAside.objects.select_related("line").get(line=line, lot=lot)
        done = self.attempt(releasing.release_promise, refused, promise=row, pairs=pairs, by=self.who(who))
        if done is not REFUSED:
            model.drop(line, lot, pairs)

    @rule(line=PICK, pairs=PAIRS, who=PICK)
    @precondition(lambda self: self.model.promises)
    def release_some(self, line, pairs, who):
        model = self.model
        line = model.lines[self.pick(sorted({line for line, _ in model.promises}), line)]
        can_go = model.aside(line.key) - model.packed(line.key)
        row, pairs = OrderLine.objects.get(pk=line.key), self.within(pairs, can_go)
        refused = bool(line.box) or pairs > can_go
        done = self.attempt(releasing.release_line, refused, line=row, by=self.who(who), pairs=pairs)
        if done is not REFUSED:
            model.free_newest(line, pairs)

    @rule(promise=PICK, to=PICK, pairs=st.integers(1, 30), who=PICK)
    @precondition(lambda self: self.model.promises and len(self.model.orders_in(CONFIRMED)) > 1)
    def hand_over(self, promise, to, pairs, who):
        model = self.model
        line, lot = self.pick(sorted(model.promises), promise)
        its = {order.key for order in model.orders_in(CONFIRMED)}
        # Lines of the same candle first: others are refused, and once in a while that is tried.
        lines = sorted((one for one in model.lines.values() if one.order in its), key=lambda one: one.key)
        giver = model.lines[line]
        same = [one for one in lines if one.candle == giver.candle and one.order != giver.order and model.open(one)]
        taker, (promised, packed) = self.pick(same * 5 + lines, to), model.promises[line, lot]
        pairs = self.within(pairs, min(promised - packed, model.open(taker)))
        given = {
            "from_promise": SetAside.objects.select_related("line").get(line=line, lot=lot),
            "to_line": OrderLine.objects.get(pk=taker.key),
        }
        refused = self.may_not_hand_over(line, lot, taker, pairs)
        done = self.attempt(releasing.take_over, refused, **given, pairs=pairs, by=self.who(who))
        if done is not REFUSED:
            model.drop(line, lot, pairs)
            model.promises.setdefault((taker.key, lot), [0, 0])[0] += pairs

    def may_not_hand_over(self, line: int, lot: int, taker, pairs: int) -> bool:
        model = self.model
        giver, (promised, packed) = model.lines[line], model.promises[line, lot]
        fits = giver.candle == taker.candle and model.lots[lot].grade == model.orders[taker.order].grade
        return (
            giver.order == taker.order
            or bool(giver.box)
            or not fits
            or pairs > promised - packed
            or pairs > model.open(taker)
        )
