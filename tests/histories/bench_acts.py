"""The packing bench: boxes filled and closed, unpacked, gone with the van."""

from hypothesis.stateful import precondition, rule

from orders.domain import boxing, packing
from orders.models import BoxContent, BoxKind
from orders.models import Delivery as DeliveryRow
from tests.histories.acting import PICK, REFUSED, SELDOM, Acting
from tests.histories.model import CONFIRMED, LEFT, PACKED, PACKING, UNPACKED, Delivery, Order


class Bench(Acting):
    def over_limit(self, shop: int) -> bool:
        limit = next(one.credit_limit for one in self.opening.shops if one.pk == shop)
        return limit is not None and self.model.owed(shop) > limit * 100

    def may_not_pack(self, order: Order, ready: int, owed: int) -> bool:
        incomplete = order.complete_only and ready < owed
        return order.status != CONFIRMED or self.over_limit(order.shop) or not ready or incomplete

    def owed(self, order: Order) -> int:
        """Pairs ordered and neither sent nor in a box."""
        return sum(line.pairs - line.sent - self.model.packed(line.key) for line in self.model.lines_of(order.key))

    @rule(order=PICK, who=PICK)
    @precondition(lambda self: self.model.promises)
    def pack(self, order, who):
        # Where something waits first; the others are refused.
        keys = sorted({self.model.lines[line].order for line, _ in self.model.promises})
        self.pack_this(self.model.orders[self.pick(keys * 3 + sorted(self.model.orders), order)], who)

    def pack_this(self, order: Order, who) -> None:
        model, by = self.model, self.who(who)
        current = next((one for one in model.waiting(order.key) if one.state == PACKING), None)
        its = {line.key for line in model.lines_of(order.key)}
        takes = {
            key: pairs - packed for key, (pairs, packed) in model.promises.items() if key[0] in its and pairs > packed
        }
        refused = self.may_not_pack(order, sum(takes.values()), self.owed(order))
        if current:
            refused = current.by != by.pk
        begun = self.attempt(packing.start_packing, refused, order=self.row(order), by=by)
        if begun is REFUSED:
            return
        if current:
            assert begun.pk == current.key
            return
        lines = {(line, lot): pairs for line, lot, pairs in begun.lines.values_list("line", "lot", "pairs")}
        assert lines == takes
        for key, pairs in takes.items():
            model.promises[key][1] += pairs
        model.deliveries[begun.pk] = Delivery(begun.pk, order.key, by.pk, takes)

    def of_delivery(self, pick: int, *states: str) -> Delivery:
        """One of the deliveries, those in these states three times as likely."""
        its = list(self.model.deliveries.values())
        return self.pick([one for one in its if one.state in states] * 3 + its, pick)

    @staticmethod
    def delivery_row(one: Delivery) -> DeliveryRow:
        return DeliveryRow.objects.get(pk=one.key)

    @rule(delivery=PICK, stale=SELDOM, who=PICK)
    @precondition(lambda self: self.model.deliveries)
    def close(self, delivery, stale, who):
        self.close_this(self.of_delivery(delivery, PACKING), stale, who)

    def close_this(self, one: Delivery, stale, who) -> None:
        row, by = self.delivery_row(one), self.who(who)
        order, pairs = self.model.orders[one.order], sum(one.lines.values())
        again = one.state == PACKED and row.note.issued_by_id == by.pk
        refused = one.state != PACKING or stale or self.may_not_pack(order, pairs, self.owed(order) + pairs)
        done = self.attempt(
            packing.close_boxes, refused and not again, delivery=row, version=row.version - stale, by=by
        )
        if done is REFUSED or again:
            return
        assert done.note.running == self.model.numbers["delivery note"]
        self.model.take_number("delivery note")
        one.state = PACKED

    @rule(delivery=PICK, stale=SELDOM, who=PICK)
    @precondition(lambda self: self.model.deliveries)
    def unpack(self, delivery, stale, who):
        one = self.of_delivery(delivery, PACKING, PACKED)
        row = self.delivery_row(one)
        refused = one.state == LEFT or (stale and one.state != UNPACKED)
        done = self.attempt(
            packing.unpack, refused, delivery=row, version=row.version - stale, by=self.who(who), reason="wrong label"
        )
        if done is not REFUSED and one.state != UNPACKED:
            for key, pairs in one.lines.items():
                self.model.promises[key][1] -= pairs
            one.state = UNPACKED

    @rule(delivery=PICK, stale=SELDOM, who=PICK)
    @precondition(lambda self: self.model.deliveries)
    def van_left(self, delivery, stale, who):
        self.van_left_with(self.of_delivery(delivery, PACKED), stale, who)

    def van_left_with(self, one: Delivery, stale, who) -> None:
        row, today = self.delivery_row(one), self.clock.today
        again = one.state == LEFT and one.left_on == today
        refused = not again and (one.state != PACKED or stale)
        done = self.attempt(
            packing.van_left, refused, delivery=row, version=row.version - stale, on=today, by=self.who(who)
        )
        if done is not REFUSED and not again:
            self.gone(one)

    @rule(delivery=PICK, who=PICK)
    @precondition(lambda self: any(one.state == PACKED for one in self.model.deliveries.values()))
    def van_day_left(self, delivery, who):
        """Everything that waits for one van goes with it."""
        row = self.delivery_row(self.of_delivery(delivery, PACKED))
        going = DeliveryRow.objects.filter(van_day=row.van_day, state=PACKED).values_list("pk", flat=True)
        going = set(going)
        gone, refused = self.attempt(
            packing.van_day_left, False, van_day=row.van_day, on=self.clock.today, by=self.who(who)
        )
        assert {one.pk for one in gone} == going
        assert not refused
        for key in sorted(going):
            self.gone(self.model.deliveries[key])

    def gone(self, one: Delivery) -> None:
        model = self.model
        for (line, lot), pairs in one.lines.items():
            model.promises[line, lot][1] -= pairs
            model.drop(line, lot, pairs)
            model.lots[lot].on_hand -= pairs
            model.lines[line].sent += pairs
        one.state, one.left_on = LEFT, self.clock.today
        model.finish(model.orders[one.order])

    @rule(content=PICK, pairs=PICK, to=PICK, who=PICK)
    @precondition(lambda self: any(one.state == PACKING for one in self.model.deliveries.values()))
    def shift(self, content, pairs, to, who):
        """Pairs go to another box of the delivery, or to a new one: the book's pairs stay what they are."""
        packing_now = [one.key for one in self.model.deliveries.values() if one.state == PACKING]
        moved = self.pick(BoxContent.objects.filter(box__delivery__in=packing_now).order_by("pk"), content)
        row = DeliveryRow.objects.get(boxes=moved.box_id)
        new = {"new_kind": self.pick(BoxKind.objects.order_by("pk"), to)} if to % 2 else {"to_box": 1 + to % 3}
        self.attempt(
            boxing.box_move, None, delivery=row, version=row.version, content=moved.pk, pairs=pairs, by=self.who(who),
            **new,
        )  # fmt: skip
