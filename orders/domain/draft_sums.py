"""The sums of a draft: rates by candle and destination, the orders' discounts, carriage, deposits, prompt payment."""

from collections.abc import Iterable
from datetime import date, timedelta
from decimal import Decimal

from django.core.exceptions import ValidationError

from inventory.models import Workshop
from orders.deposits import take_off
from orders.domain.drafts import Allowance, Carriage, Deducted, DraftLine, Prompt, Sterling
from orders.domain.pricing import carriage_of
from orders.models import Address, Delivery, Invoice, Order, OrderBags, OrderLine, Shop, VatRate
from orders.money import (
    NOUGHT,
    Rate,
    Total,
    in_pounds,
    in_sterling,
    line_net,
    percent_of,
    share_over_rates,
    total_invoice,
    vat_of,
)
from orders.queries.deposits import deposits_left
from orders.queries.invoices import orders_carried, rates_on, sterling_on
from orders.queries.shops import invoice_address_of
from orders.vat_treatment import Treatment, treatment_of


def house_and_address(shop: Shop) -> tuple[Workshop, Address]:
    """What every paper of the ledger shows; ValidationError where either is missing."""
    workshop, address = Workshop.objects.first(), invoice_address_of(shop)
    if workshop is None:
        raise ValidationError("Set-up has no workshop yet: an invoice needs its name, address and bank.")
    if address is None:
        raise ValidationError(f"{shop.name} has no address yet: an invoice has to show one.")
    return workshop, address


def treatment_of_order(workshop: Workshop, order: Order, address: Address) -> Treatment:
    """By where the order's goods go. ValueError where the book does not make such a supply."""
    place = order.deliver_to or address
    return treatment_of(workshop.vat_number, place.country, place.postcode)


class Rates:
    """The rate of a candle on a day under a treatment, and why it is nought where it is."""

    def __init__(self, treatment: Treatment, day: date):
        self.treatment, self.day = treatment, day
        self.by_class = {} if treatment.rate else rates_on(day)
        self.in_force = {treatment.rate} if treatment.rate else set(self.by_class.values())

    def of(self, line: OrderLine) -> Rate:
        """ValueError where the set-up has none."""
        return self.of_class(line.candle.vat_class)

    def of_class(self, vat_class: str) -> Rate:
        """ValueError where the set-up has none."""
        rate = self.treatment.rate or self.by_class.get(vat_class)
        if rate is None:
            raise ValueError(f"Set-up has no VAT rate of class {vat_class} for that day.")
        return rate

    def reasons(self) -> dict[Rate, tuple[str, str]]:
        """VATEX code and words of each rate that needs them (EN 16931 BR-E-10, BR-G-10, BR-O-10)."""
        if self.treatment.rate:
            return {self.treatment.rate: (self.treatment.code, self.treatment.reason)}
        exempt = VatRate.objects.filter(since__lte=self.day, category="E").order_by("since").last()
        return {Rate("E", exempt.percent): ("", exempt.reason)} if exempt else {}


def pairs_line(delivery: Delivery | None, line: OrderLine, pairs: int, rate: Rate) -> DraftLine:
    net = line_net(pairs, line.price, line.discount)
    return DraftLine(delivery, line, pairs, line.price, line.discount, net, rate)


def bags_line(bags: OrderBags, rates: Rates) -> DraftLine:
    """Firelighters, at the standard rate. ValueError where the set-up has none."""
    rate = rates.of_class("standard")
    return DraftLine(bags.delivery, None, 0, bags.price, NOUGHT, bags.net, rate, bags.words, bags.bags)


def allowances_of(lines: Iterable[DraftLine]) -> list[Allowance]:
    """Each order's own discount on these lines of it, shared over their rates to the penny."""
    goods: dict[Order, dict[Rate, Decimal]] = {}
    for line in lines:
        if line.order_line and line.order_line.order.order_discount:
            its = goods.setdefault(line.order_line.order, {})
            its[line.rate] = its.get(line.rate, NOUGHT) + line.net
    found = []
    for order, bases in goods.items():
        shares = share_over_rates(percent_of(_add(bases.values()), order.order_discount), bases)
        found += [Allowance(order, rate, bases[rate], share) for rate, share in shares.items() if share]
    return found


def carriage_of_orders(orders: dict[int, Order]) -> list[Carriage]:
    """Carriage of each order by its own rule: on what the whole order comes to now, once, with its first invoice."""
    carried, lines = orders_carried(orders), {pk: [] for pk in orders}
    for line in OrderLine.objects.filter(order__in=orders).select_related("candle"):
        line.order = orders[line.order_id]
        lines[line.order_id].append(line)
    return [_carriage(order, lines[pk], carried.get(pk)) for pk, order in sorted(orders.items())]


def _carriage(order: Order, lines: list[OrderLine], settled_with: str | None) -> Carriage:
    if settled_with:
        return Carriage(order, NOUGHT, f"order {order.number}: settled with its first delivery, on {settled_with}")
    goods = _add(line_net(line.pairs, line.price, line.discount) for line in lines)
    goods -= percent_of(goods, order.order_discount)
    charge = carriage_of(order, goods, [(line.candle, line.pairs) for line in lines])
    if not charge.amount:
        return Carriage(order, NOUGHT, f"order {order.number}: {charge.why or 'carriage free'}")
    why = f" ({charge.why})" if charge.why else ""
    return Carriage(order, charge.amount, f"order {order.number}{why}, charged once, with its first delivery")


def add_up(
    lines: list[DraftLine], carriage: Iterable[Carriage], orders: Iterable[Order], rounding: str, in_force: set[Rate]
) -> tuple[Total, list[Allowance], list[Deducted]]:
    """The total, with the orders' discounts and what was invoiced of them as deposit taken off.

    ValueError where an amount does not fit the book.
    """
    nets, carried = [(line.net, line.rate) for line in lines], _add(part.amount for part in carriage)
    allowances = allowances_of(lines)
    off = _by_rate((part.rate, part.amount) for part in allowances)
    total = total_invoice(nets, carried, rounding, off)
    deposits = {invoice.pk: (invoice, left) for invoice, left in deposits_left(orders)}
    taken = take_off(
        {part.rate: part.taxable for part in total.rates},
        [(pk, left) for pk, (_, left) in deposits.items()],
        in_force,
    )
    deducted = [Deducted(deposits[part.key][0], part.of, part.at, part.net) for part in taken]
    if deducted:
        total = total_invoice(nets, carried, rounding, off, _by_rate((part.at, part.net) for part in deducted))
    return total, allowances, deducted


def prompt_of(shop: Shop, total: Total, issued_on: date, rounding: str) -> Prompt | None:
    """What is paid with the shop's discount for prompt payment; None where its terms offer none."""
    if not shop.prompt_percent or shop.pro_forma_first or total.gross <= 0:
        return None
    left = {part.rate: part.taxable - percent_of(part.taxable, shop.prompt_percent) for part in total.rates}
    return Prompt(
        percent=shop.prompt_percent,
        days=shop.prompt_days,
        by=issued_on + timedelta(days=shop.prompt_days),
        net=_add(left.values()),
        vat=_add(vat_of(amount, rate.percent, rounding) for rate, amount in left.items()),
    )


def sterling_of(currency: str, vat: Decimal, day: date) -> Sterling:
    """The VAT in sterling; ValidationError where the set-up knows no rate of that currency for the day."""
    if currency == "GBP":
        return Sterling(Decimal(1), None, vat)
    row = sterling_on(currency, day)
    if row is None:
        raise ValidationError(f"Set-up has no exchange rate of {currency} for that day: VAT is owed in sterling.")
    return Sterling(row.sterling, row.since, in_sterling(vat, row.sterling))


def one_currency(orders: Iterable[Order]) -> str:
    """The currency all these orders share; ValidationError where they differ."""
    found = sorted({order.currency for order in orders})
    if len(found) > 1:
        raise ValidationError(f"These are orders in {' and '.join(found)}: an invoice has one currency.")
    return found[0]


def deposit_in_words(deposit: Invoice) -> str:
    return f"Deposit on order {deposit.order.number}, invoiced on {deposit} ({in_pounds(deposit.net)} without VAT)"


def _by_rate(parts: Iterable[tuple[Rate, Decimal]]) -> dict[Rate, Decimal]:
    sums: dict[Rate, Decimal] = {}
    for rate, amount in parts:
        sums[rate] = sums.get(rate, NOUGHT) + amount
    return sums


def _add(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, NOUGHT)


def ledger_sums(total: Total, sterling: Sterling) -> dict[str, Decimal]:
    """The columns of LedgerSums, which an invoice and a credit note share."""
    return {
        "sterling": sterling.rate,
        "goods": total.goods,
        "allowance": total.allowance,
        "deposits": total.deposit,
        "carriage": total.carriage,
        "net": total.net,
        "vat": total.vat,
        "vat_sterling": sterling.vat,
        "gross": total.gross,
    }


def vat_sums(total: Total) -> list[dict]:
    """The columns of VatSums, a row each rate."""
    return [
        {
            "category": part.rate.category,
            "percent": part.rate.percent,
            **{name: getattr(part, name) for name in ("taxable", "allowance", "deposit", "carriage", "vat")},
        }
        for part in total.rates
    ]
