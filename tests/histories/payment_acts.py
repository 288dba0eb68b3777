"""Payments: posted, put against papers, taken off, bounced, paid back."""

from decimal import Decimal

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from orders.domain import payments
from orders.models import Payment as PaymentRow
from tests.histories.acting import PICK, REFUSED, YES_NO, Acting
from tests.histories.model import Payment

# Against an invoice: all that is open, a share of it in pence, or a penny too much.
SHARES = st.lists(st.tuples(PICK, st.integers(-2, 4000)), max_size=3)


class Payments(Acting):
    def parts(self, shop: int, shares) -> dict[int, int]:
        """Pence by invoice of the shop."""
        its = sorted(one.key for one in self.model.invoices.values() if one.shop == shop)
        found = {}
        for pick, share in shares if its else ():
            key = self.pick(its, pick)
            due = self.model.due(self.model.invoices[key])
            found[key] = {-2: due + 1, -1: due}.get(share, min(share, due))
        return {key: amount for key, amount in found.items() if amount}

    def too_much(self, parts: dict[int, int], left: int) -> bool:
        over = any(amount > self.model.due(self.model.invoices[key]) for key, amount in parts.items())
        return over or sum(parts.values()) > left

    @staticmethod
    def as_asked(parts: dict[int, int]) -> dict[str, Decimal]:
        return {f"i{key}": money(amount) for key, amount in parts.items()}

    @rule(shop=PICK, amount=st.integers(-1, 9000), shares=SHARES, twice=YES_NO, who=PICK)
    @precondition(lambda self: self.model.invoices)
    def pay(self, shop, amount, shares, twice, who):
        shop = self.pick(self.opening.shops, shop)
        parts = self.parts(shop.pk, shares)
        if amount % 3 == 0 and parts:
            amount = sum(parts.values())
        form = {
            "shop": shop, "amount": money(amount), "on": self.clock.today, "how": "bank", "by": self.who(who),
            "parts": self.as_asked(parts), "submission": self.submission(),
        }  # fmt: skip
        made = self.attempt(payments.post_payment, amount <= 0 or self.too_much(parts, amount), **form)
        if made is not REFUSED:
            if twice:
                assert self.attempt(payments.post_payment, False, **form).pk == made.pk
            payment = self.model.payments[made.pk] = Payment(made.pk, shop.pk, "in", amount, self.clock.today)
            self.put(payment, parts)

    def put(self, payment: Payment, parts: dict[int, int]) -> None:
        for key, amount in parts.items():
            payment.parts["invoice", key] += amount

    @rule(payment=PICK, shares=SHARES, who=PICK)
    @precondition(lambda self: self.model.payments)
    def share(self, payment, shares, who):
        one, row = self.of_payment(payment, "in")
        parts = self.parts(one.shop, shares)
        refused = one.kind != "in" or one.dead or not parts or self.too_much(parts, one.left)
        done = self.attempt(payments.share_payment, refused, payment=row, parts=self.as_asked(parts), by=self.who(who))
        if done is not REFUSED:
            self.put(one, parts)

    def of_payment(self, pick: int, *kinds: str):
        its = [one for one in self.model.payments.values() if not one.dead and one.kind in kinds]
        one = self.pick(its * 3 + list(self.model.payments.values()), pick)
        return one, PaymentRow.objects.get(pk=one.key)

    @rule(payment=PICK, invoice=PICK, who=PICK)
    @precondition(lambda self: self.model.payments)
    def take_off(self, payment, invoice, who):
        one, row = self.of_payment(payment, "in")
        key = self.pick(sorted(self.model.invoices), invoice)
        refused = one.kind != "in" or one.dead
        taken = self.attempt(
            payments.take_off, refused, payment=row, key=f"i{key}", reason="the other invoice", by=self.who(who)
        )
        if taken is not REFUSED:
            assert taken == money(one.parts["invoice", key])
            one.parts["invoice", key] = 0

    @rule(payment=PICK, mistake=YES_NO, who=PICK)
    @precondition(lambda self: self.model.payments)
    def bounce(self, payment, mistake, who):
        """A payment or a refund is taken back, once."""
        one, row = self.of_payment(payment, "in", "back")
        refunded = any(pence for (what, _), pence in one.parts.items() if what == "refund")
        refused = not one.dead and one.kind == "in" and refunded
        done = self.attempt(
            payments.take_back, refused, payment=row, kind="mistake" if mistake else "bounced", on=self.clock.today,
            reason="the bank said so", by=self.who(who),
        )  # fmt: skip
        if done is REFUSED or one.dead:
            return
        one.dead = True
        one.parts.clear()
        for other in self.model.payments.values():
            other.parts.pop(("refund", one.key), None)

    @rule(shop=PICK, amount=st.integers(1, 4000), who=PICK)
    @precondition(lambda self: self.model.payments)
    def pay_back(self, shop, amount, who):
        model, shop = self.model, self.pick(self.opening.shops, shop)
        there = model.on_account(shop.pk)
        if amount % 2 and there:
            amount = min(amount, there)
        made = self.attempt(
            payments.pay_back, amount > there, shop=shop, amount=money(amount), on=self.clock.today, how="bank",
            by=self.who(who), submission=self.submission(),
        )  # fmt: skip
        if made is REFUSED:
            return
        for payment in model.came_in(shop.pk):
            part = min(amount, payment.left)
            if part:
                payment.parts["refund", made.pk] += part
                amount -= part
        model.payments[made.pk] = Payment(made.pk, shop.pk, "back", amount, self.clock.today)


def money(pence: int) -> Decimal:
    return Decimal(pence) / 100
