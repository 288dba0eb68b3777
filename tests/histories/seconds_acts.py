"""The seconds shelf: boxes made up, opened, sold and taken off an order again."""

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from orders.domain import seconds_boxes, seconds_selling
from orders.domain.ordering import Row
from orders.domain.seconds import sell_seconds
from orders.models import SecondsBox
from tests.histories.acting import PICK, REFUSED, SELDOM, YES_NO, Acting
from tests.histories.model import CONFIRMED, DRAFT, SECONDS, Box


class SecondsShelf(Acting):
    @rule(lots=st.lists(st.tuples(PICK, st.integers(1, 12)), min_size=1, max_size=2), twice=YES_NO, who=PICK)
    def make_up(self, lots, twice, who):
        its = [lot.key for lot in self.model.lots.values() if lot.grade == SECONDS]
        contents = {self.pick(its, lot): pairs for lot, pairs in lots}
        refused = any(pairs > self.model.free(lot) for lot, pairs in contents.items())
        form = {
            "contents": contents, "kind": self.opening.kind, "sold_by": "count", "weight_g": None, "price": None,
            "sure": True, "submission": self.submission(), "by": self.who(who),
        }  # fmt: skip
        box = self.attempt(seconds_boxes.make_up_box, refused, **form)
        if box is not REFUSED:
            self.model.take_number("seconds box")
            self.model.boxes[box.pk] = Box(box.pk, contents)
            if twice:
                assert self.attempt(seconds_boxes.make_up_box, False, **form).pk == box.pk

    def of_box(self, pick: int):
        box = self.pick(self.model.boxes.values(), pick)
        return box, SecondsBox.objects.get(pk=box.key)

    @rule(box=PICK, stale=SELDOM, who=PICK)
    @precondition(lambda self: self.model.boxes)
    def open_box(self, box, stale, who):
        box, row = self.of_box(box)
        refused = box.state == "sold" or (box.state == "on the shelf" and stale)
        done = self.attempt(seconds_boxes.open_box, refused, box=row, version=row.version - stale, by=self.who(who))
        if done is not REFUSED:
            box.state = "opened"

    @rule(shop=PICK, candle=PICK, pairs=st.integers(0, 8), boxes=st.lists(PICK, max_size=2), who=PICK)
    @precondition(lambda self: self.model.boxes and len(self.model.orders_in(DRAFT, CONFIRMED)) < 9)
    def sell(self, shop, candle, pairs, boxes, who):
        """Boxes, and some pairs of a candle, go into a draft of seconds; what is not there is refused."""
        model, shop = self.model, self.pick(self.opening.shops, shop)
        candle = self.pick(self.opening.candles, candle)
        chosen = {self.pick(sorted(model.boxes), box) for box in boxes}
        gone = any(model.boxes[box].state != "on the shelf" for box in chosen)
        refused = gone or pairs > model.free_of(candle.pk, SECONDS) or not (pairs or chosen)
        rows = [Row(candle, pairs)] if pairs else []
        made = self.attempt(
            sell_seconds, refused, shop=shop, submission=self.submission(), rows=rows, boxes=chosen, by=self.who(who)
        )
        if made is REFUSED:
            return
        model.take_number("order")
        order = self.adopt_order(made)
        for key in chosen:
            box = model.boxes[key]
            box.state, box.order = "sold", order.key
            its = sum(line.pairs for line in model.lines_of(order.key) if line.box == key)
            assert its == sum(box.contents.values())

    @rule(box=PICK, stale=SELDOM, who=PICK)
    @precondition(lambda self: any(box.order for box in self.model.boxes.values()))
    def take_box_off(self, box, stale, who):
        model, (box, row) = self.model, self.of_box(box)
        order = model.orders.get(box.order)
        its = [line for line in model.lines_of(box.order) if line.box == box.key] if order else []
        others = [line for line in model.lines_of(box.order) if line.box != box.key and line.pairs] if order else []
        stuck = any(line.sent or model.packed(line.key) for line in its)
        refused = not order or stale or stuck or (order.status == CONFIRMED and not others)
        done = self.attempt(
            seconds_selling.take_box_off, refused, box=row, version=row.version - stale, by=self.who(who)
        )
        if done is not REFUSED:
            model.put_box_back(box)
            if order.status == DRAFT:
                for line in its:
                    del model.lines[line.key]
            model.finish(order)
