"""The ledger's papers: invoices, credit notes, and what comes back."""

from datetime import timedelta
from decimal import Decimal

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from orders.domain import crediting, invoicing, returns
from orders.domain.credit_draft import Asked, Take
from orders.models import CreditNote
from orders.models import Delivery as DeliveryRow
from orders.models import Invoice as InvoiceRow
from orders.models import Order as OrderRow
from tests.histories.acting import PAIRS, PICK, REFUSED, YES_NO, Acting
from tests.histories.model import FIRSTS, LEFT, Delivery, Invoice, Lot
from tests.histories.money import carriage_of, gross_of
from tests.histories.reading import pence


class Papers(Acting):
    @rule(delivery=PICK, all_of_them=YES_NO, who=PICK)
    @precondition(lambda self: self.model.deliveries)
    def invoice(self, delivery, all_of_them, who):
        model = self.model
        its = list(model.deliveries.values())
        open_ones = [one for one in its if one.state == LEFT and not model.live_invoice(one.key)]
        first = self.pick(open_ones * 3 + its, delivery)
        shop = model.orders[first.order].shop
        chosen = {first.key}
        if all_of_them:
            chosen |= {one.key for one in open_ones if model.orders[one.order].shop == shop}
        self.invoice_these(shop, chosen, who)

    def invoice_these(self, shop: int, chosen: set[int], who) -> None:
        model = self.model
        rows = [model.deliveries[key] for key in sorted(chosen)]
        refused = any(one.state != LEFT or model.live_invoice(one.key) for one in rows)
        if not refused and len(rows) > 1 and any(one.left_on < self.clock.today - timedelta(days=14) for one in rows):
            refused = None  # tax points may differ
        gross = 0 if refused else self.gross(rows)
        made = self.attempt(
            invoicing.issue_invoice, refused, shop=self.shop(shop), delivery_ids=chosen, issued_on=self.clock.today,
            by=self.who(who),
        )  # fmt: skip
        if made is not REFUSED:
            assert made.paper.running == model.numbers["invoice"]
            model.take_number("invoice")
            assert pence(made.gross) == gross, f"{made}: {made.gross}, the model reckons {gross} pence"
            lines = {key: [line, pairs] for key, line, pairs in made.lines.values_list("pk", "order_line", "pairs")}
            model.invoices[made.pk] = Invoice(made.pk, shop, self.clock.today, chosen, gross, lines)

    def shop(self, key: int):
        return next(shop for shop in self.opening.shops if shop.pk == key)

    def gross(self, deliveries: list[Delivery]) -> int:
        model, parts, carriage = self.model, [], 0
        for one in sorted(deliveries, key=lambda one: (one.left_on, one.key)):
            sent: dict[int, int] = {}
            for (line, _), pairs in one.lines.items():
                sent[line] = sent.get(line, 0) + pairs
            parts += [(model.orders[one.order], model.lines[line], pairs) for line, pairs in sent.items()]
        for key in {one.order for one in deliveries}:
            if not any(model.live_invoice(one.key) for one in model.deliveries.values() if one.order == key):
                carriage += carriage_of(model.orders[key], model.lines_of(key))
        return gross_of(parts, {candle.pk: candle.vat_class for candle in self.opening.candles}, carriage)

    # Credit notes

    @rule(invoice=PICK, anew=YES_NO, twice=YES_NO, who=PICK)
    @precondition(lambda self: self.model.invoices)
    def credit_whole(self, invoice, anew, twice, who):
        one = self.pick(self.model.invoices.values(), invoice)
        asked = Asked(why="overcharged", reason="all of it", set_off_on=self.clock.today, anew=anew)
        left = one.gross - one.credited
        note = self.credit(one, asked, left <= 0 or (anew and one.notes > 0), twice, who)
        if note:
            assert pence(note.gross) == left, f"{note}: {note.gross} of {left} pence that were left"
            one.live = one.live and not anew
            for line in one.lines.values():
                line[1] = 0

    @rule(invoice=PICK, line=PICK, pairs=PAIRS, twice=YES_NO, who=PICK)
    @precondition(lambda self: self.model.invoices)
    def credit_pairs(self, invoice, line, pairs, twice, who):
        one = self.pick(self.model.invoices.values(), invoice)
        key = self.pick(sorted(one.lines), line)
        pairs = self.within(pairs, one.lines[key][1])
        take = Take(key, pairs=pairs)
        asked = Asked(why="overcharged", reason="some of it", set_off_on=self.clock.today, takes=(take,))
        refused = one.gross <= one.credited or pairs > one.lines[key][1]
        # Where an amount was taken off before, pairs may be left that nothing is owed for.
        if self.credit(one, asked, refused or (None if one.by_amount else False), twice, who):
            one.lines[key][1] -= pairs

    @rule(invoice=PICK, line=PICK, pence=st.integers(1, 900), who=PICK)
    @precondition(lambda self: self.model.invoices)
    def credit_amount(self, invoice, line, pence, who):
        """Something off, and no pairs back; how much is left of a line's net the house knows."""
        one = self.pick(self.model.invoices.values(), invoice)
        take = Take(self.pick(sorted(one.lines), line), amount=Decimal(pence) / 100)
        asked = Asked(why="overcharged", reason="a scratch", set_off_on=self.clock.today, takes=(take,))
        if self.credit(one, asked, one.gross <= one.credited or None, False, who):
            one.by_amount = True

    def credit(self, one: Invoice, asked: Asked, refused: bool | None, twice: bool, who: int) -> CreditNote | None:
        form = {
            "invoice": InvoiceRow.objects.get(pk=one.key), "asked": asked, "issued_on": self.clock.today,
            "submission": self.submission(), "by": self.who(who),
        }  # fmt: skip
        note = self.attempt(crediting.issue_credit, refused, **form)
        if note is REFUSED:
            return None
        if twice:
            assert self.attempt(crediting.issue_credit, False, **form).pk == note.pk
        self.credited(one, note)
        return note

    def credited(self, one: Invoice, note: CreditNote) -> None:
        model = self.model
        assert note.paper.running == model.numbers["credit note"]
        model.take_number("credit note")
        assert 0 < pence(note.gross) <= one.gross - one.credited
        one.credited += pence(note.gross)
        one.notes += 1
        # What was paid beyond what is left lies on account again, the newest payment first.
        over = -model.due(one)
        for payment in reversed(model.came_in(one.shop)):
            part = min(over, payment.parts["invoice", one.key])
            if part > 0:
                payment.parts["invoice", one.key] -= part
                over -= part

    # Returns

    @rule(delivery=PICK, content=PICK, pairs=st.tuples(*[st.integers(0, 6)] * 3), again=YES_NO, who=PICK)
    @precondition(lambda self: any(one.state == LEFT for one in self.model.deliveries.values()))
    def take_back(self, delivery, content, pairs, again, who):
        """Pairs come back fit for sale, as seconds or broken, and are credited; sent once more where wished."""
        model = self.model
        one = self.pick([one for one in model.deliveries.values() if one.state == LEFT], delivery)
        line, lot = self.pick(sorted(one.lines), content)
        row = DeliveryRow.objects.get(pk=one.key)
        firsts, seconds, broken = pairs
        its = row.lines.get(line=line, lot=lot)
        back = returns.Back(its.pk, firsts, seconds, broken, "scuffed" if model.lots[lot].grade == FIRSTS else "")
        invoice = model.live_invoice(one.key)
        known = {lot.key for lot in model.lots.values()}
        made = self.attempt(
            returns.take_back, self.may_not_come_back(one, (line, lot), back, invoice), delivery=row, backs=[back],
            reason="bent in the post", came_on=self.clock.today, by=self.who(who), submission=self.submission(),
            again=again,
        )  # fmt: skip
        if made is not REFUSED:
            one.came_back[line, lot] += back.pairs
            self.take_pairs_off(invoice, line, back.pairs)
            self.credited(invoice, made.note)
            self.back_in_stock(model.lots[lot], back, known)
            if again:
                self.sent_again(made.again, line, back.pairs)

    def may_not_come_back(self, one: Delivery, key: tuple[int, int], back, invoice: Invoice | None) -> bool | None:
        if invoice is None or not back.pairs or back.pairs > one.lines[key] - one.came_back[key]:
            return True
        if back.firsts and self.model.lots[key[1]].grade != FIRSTS:
            return True
        left = sum(pairs for line, pairs in invoice.lines.values() if line == key[0])
        return back.pairs > left or (None if invoice.by_amount else False)

    def take_pairs_off(self, invoice: Invoice, line: int, pairs: int) -> None:
        for row in invoice.lines.values():
            if row[0] == line:
                part = min(pairs, row[1])
                row[1] -= part
                pairs -= part

    def back_in_stock(self, lot: Lot, back, known: set[int]) -> None:
        lot.on_hand += back.pairs - back.broken
        if back.seconds and lot.grade == FIRSTS:
            lot.on_hand -= back.seconds
            self.adopt_new_lots(known, [(lot.candle, "seconds", back.seconds)])

    def sent_again(self, row: OrderRow, line: int, pairs: int) -> None:
        model = self.model
        assert row.number == model.numbers["order"]
        model.take_number("order")
        self.adopt_order(row)
        (new,), first = model.lines_of(row.pk), model.lines[line]
        assert (new.candle, new.pairs, new.pence, row.carriage) == (first.candle, pairs, first.pence, 0)
