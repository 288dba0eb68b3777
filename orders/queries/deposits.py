"""What is left of deposit invoices: invoiced before the goods left, and not yet taken off an invoice over goods."""

from collections.abc import Iterable
from decimal import Decimal

from orders.models import CreditNoteVat, DepositDeducted, Invoice, InvoiceVat, Order
from orders.models.invoice import DEPOSIT
from orders.money import NOUGHT, Rate


def deposits_left(orders: Iterable[Order]) -> list[tuple[Invoice, dict[Rate, Decimal]]]:
    """Deposit invoices of the orders with the net left of each of their rates, the oldest first. At most four queries.

    What a credit note took off a deposit is not left; what an invoice since taken back whole had used is left again.
    """
    deposits = Invoice.objects.filter(kind=DEPOSIT, order__in=[order.pk for order in orders])
    deposits = {row.pk: row for row in deposits.select_related("paper", "order").order_by("pk")}
    if not deposits:
        return []
    left: dict[int, dict[Rate, Decimal]] = {pk: {} for pk in deposits}
    for row in InvoiceVat.objects.filter(invoice__in=deposits):
        left[row.invoice_id][Rate(row.category, row.percent)] = row.taxable
    for row in CreditNoteVat.objects.filter(note__invoice__in=deposits).select_related("note"):
        left[row.note.invoice_id][Rate(row.category, row.percent)] -= row.taxable
    for row in DepositDeducted.objects.filter(deposit__in=deposits).exclude(invoice__credit_notes__anew=True):
        left[row.deposit_id][Rate(row.category, row.percent)] -= row.net
    return [(deposits[pk], {rate: net for rate, net in rates.items() if net > NOUGHT}) for pk, rates in left.items()]
