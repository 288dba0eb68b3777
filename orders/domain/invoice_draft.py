"""An invoice before it is issued: chosen deliveries in, every figure and its reason out. Nothing is written."""

from collections.abc import Iterable
from datetime import date, timedelta

from django.core.exceptions import ValidationError

from inventory.models import Workshop
from inventory.words import day
from orders.domain import draft_sums as sums
from orders.domain.drafts import InvoiceDraft
from orders.models import Address, Delivery, OrderBags, Shop
from orders.models.delivery import LEFT
from orders.queries.invoices import Sent, live_invoicings, sent_with
from orders.tax_point import TaxPoint, TaxPointsDiffer, common_tax_point, tax_point_of
from orders.vat_treatment import DOMESTIC, Treatment

WITHOUT_VAT = ("zero", "exempt")


class AlreadyInvoiced(ValidationError):
    """Some of the deliveries stand on an invoice. `same` is that invoice where it holds exactly the ones asked for."""

    def __init__(self, message: str, same=None):
        super().__init__(message)
        self.same = same


def draft_invoice(*, shop: Shop, delivery_ids: Iterable[int], issued_on: date) -> InvoiceDraft:
    """The invoice over these deliveries of the shop, were it issued on that day.

    ValidationError where a delivery has not left, is another shop's or is invoiced, where tax points, currencies or
    destinations differ, where workshop, address or exchange rate is missing, and where an amount would not fit.
    """
    deliveries = chosen_deliveries(shop, delivery_ids, issued_on)
    workshop, address = sums.house_and_address(shop)
    currency = sums.one_currency(delivery.order for delivery in deliveries)
    treatment = _treatment(workshop, deliveries, address)
    sent = sent_with(deliveries)
    bags = _bags(deliveries)
    bears_vat = bool(bags) or any(one.line.candle.vat_class not in WITHOUT_VAT for one in sent)
    vat_invoice = treatment.kind == DOMESTIC and bears_vat
    tax_point = _tax_point(deliveries, issued_on, vat_invoice)
    rates = sums.Rates(treatment, tax_point.day)
    lines, carriage, added = _added_up(deliveries, (sent, bags), rates, workshop.vat_rounding)
    total, allowances, deducted = added
    days = 0 if shop.pro_forma_first else shop.terms_days
    return InvoiceDraft(
        workshop=workshop,
        shop=shop,
        address=address,
        deliveries=tuple(deliveries),
        lines=tuple(lines),
        carriage=tuple(carriage),
        total=total,
        tax_point=tax_point,
        issued_on=issued_on,
        due_on=issued_on + timedelta(days=days),
        vat_invoice=vat_invoice,
        treatment=treatment,
        sterling=sums.sterling_of(currency, total.vat, tax_point.day),
        currency=currency,
        allowances=tuple(allowances),
        deducted=tuple(deducted),
        reasons=rates.reasons(),
        prompt=sums.prompt_of(shop, total, issued_on, workshop.vat_rounding),
    )


def _bags(deliveries: list[Delivery]) -> list[OrderBags]:
    """Firelighters that went with them. Each row knows its delivery as it stands among these."""
    own, found = {delivery.pk: delivery for delivery in deliveries}, []
    for row in OrderBags.objects.filter(delivery__in=own).order_by("pk"):
        row.delivery = own[row.delivery_id]
        found.append(row)
    return found


def _added_up(deliveries: list[Delivery], goods: tuple[list[Sent], list[OrderBags]], rates: sums.Rates, rounding: str):
    """Lines, carriage by order, and what sums.add_up makes of them; ValidationError for what does not fit the book."""
    sent, bags = goods
    orders = {delivery.order.pk: delivery.order for delivery in deliveries}
    try:
        lines = [
            sums.pairs_line(delivery, one.line, one.pairs, rates.of(one.line))
            for delivery in deliveries
            for one in sent
            if one.delivery_id == delivery.pk
        ]
        lines += [sums.bags_line(row, rates) for row in bags]
        carriage = sums.carriage_of_orders(orders)
        return lines, carriage, sums.add_up(lines, carriage, orders.values(), rounding, rates.in_force)
    except ValueError as error:
        raise ValidationError(str(error)) from None


def first_choice(deliveries: Iterable[Delivery], issued_on: date) -> list[int]:
    """Of deliveries waiting (oldest first), those that may share an invoice with the oldest.

    They have one tax point, one currency and one treatment of VAT.
    """
    deliveries = list(deliveries)
    latest: dict[int, date] = {}
    for delivery in deliveries:
        latest[delivery.order_id] = max(delivery.left_on, latest.get(delivery.order_id, delivery.left_on))
    kinds = {}
    for delivery in deliveries:
        order, place = delivery.order, delivery.order.deliver_to
        where = place and (place.country, place.postcode[:2] if place.country in ("GB", "UK") else "")
        point = tax_point_of(latest[delivery.order_id], max(issued_on, delivery.left_on))
        kinds[delivery.pk] = (point, order.currency, _abroad(where))
    return [pk for pk, kind in kinds.items() if kind == next(iter(kinds.values()))]


def _abroad(where) -> bool:
    """Whether goods to that (country, postcode) leave the United Kingdom, whoever sends them."""
    return bool(where) and sums.treatment_of("GB", *where).kind != DOMESTIC


def chosen_deliveries(shop: Shop, delivery_ids: Iterable[int], issued_on: date) -> list[Delivery]:
    """The deliveries, oldest first; AlreadyInvoiced or ValidationError where one of them cannot be invoiced now."""
    wanted = set(delivery_ids)
    if not wanted:
        raise ValidationError("Choose at least one delivery.")
    rows = Delivery.objects.filter(pk__in=wanted, order__shop=shop).order_by("left_on", "pk")
    deliveries = list(rows.select_related("order__shop", "order__deliver_to", "note"))
    if len(deliveries) != len(wanted):
        raise ValidationError(f"One of these deliveries is not one of {shop.name}.")
    invoiced = list(live_invoicings().filter(delivery__in=wanted).select_related("invoice__paper", "delivery__note"))
    if invoiced:
        raise _already(invoiced, wanted)
    for delivery in deliveries:
        if delivery.state != LEFT:
            raise ValidationError(f"{delivery} has not left yet: what leaves is invoiced, not what is packed.")
        if delivery.left_on > issued_on:
            raise ValidationError(f"{delivery} left on {day(delivery.left_on)}, after this invoice's date.")
    return deliveries


def _already(invoiced: list, wanted: set[int]) -> AlreadyInvoiced:
    invoices = {row.invoice for row in invoiced}
    first = invoiced[0].invoice
    exactly = len(invoices) == 1 and set(first.deliveries.values_list("delivery", flat=True)) == wanted
    names = ", ".join(f"{row.delivery} on {row.invoice}" for row in invoiced)
    return AlreadyInvoiced(f"Invoiced already: {names}.", same=first if exactly else None)


def _treatment(workshop: Workshop, deliveries: list[Delivery], address: Address) -> Treatment:
    try:
        found = [sums.treatment_of_order(workshop, delivery.order, address) for delivery in deliveries]
    except ValueError as error:
        raise ValidationError(str(error)) from None
    if len({treatment.kind for treatment in found}) > 1:
        raise ValidationError(
            "Some of this goes abroad and some does not: an export is invoiced by itself, for its evidence."
        )
    return found[0]


def _tax_point(deliveries: list[Delivery], issued_on: date, vat_invoice: bool) -> TaxPoint:
    removals: dict[str, list[date]] = {}
    for delivery in deliveries:
        removals.setdefault(f"order {delivery.order.number}", []).append(delivery.left_on)
    try:
        return common_tax_point(removals, issued_on, vat_invoice=vat_invoice)
    except TaxPointsDiffer as differ:
        raise ValidationError(
            f"What left for {' and '.join(differ.late)} has a tax point of its own, which the rest does not share; "
            "an invoice carries one tax point. Invoice it by itself."
        ) from None
