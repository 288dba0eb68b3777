"""What an invoice, a deposit invoice and a pro forma are before they are issued: every figure with its reason."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.models import Workshop
from orders.models import Address, Delivery, Invoice, InvoiceLine, Order, OrderLine, Shop
from orders.money import Rate, Total
from orders.tax_point import TaxPoint
from orders.vat_treatment import Treatment


@dataclass(frozen=True)
class DraftLine:
    """Pairs of an order line; or, where `order_line` is None, `count` of something else with its `words`."""

    delivery: Delivery | None
    order_line: OrderLine | None
    pairs: int
    price: Decimal
    discount: Decimal
    net: Decimal
    rate: Rate
    words: str = ""
    count: int = 1


@dataclass(frozen=True)
class Allowance:
    """An order's own discount on its goods of one rate."""

    order: Order
    rate: Rate
    base: Decimal
    amount: Decimal


@dataclass(frozen=True)
class Deducted:
    """`net` of a deposit invoice, taxed then at `of`, taken off what is taxed now at `at`."""

    deposit: Invoice
    of: Rate
    at: Rate
    net: Decimal


@dataclass(frozen=True)
class Carriage:
    """Carriage of one order: charged once, with the first of its deliveries that is invoiced."""

    order: Order
    amount: Decimal
    why: str


@dataclass(frozen=True)
class Prompt:
    """What settles the invoice if it is paid by that day: VAT is due on what is paid (VATA 1994 Sch. 6 para 4)."""

    percent: Decimal
    days: int
    by: date
    net: Decimal
    vat: Decimal

    @property
    def gross(self) -> Decimal:
        return self.net + self.vat


@dataclass(frozen=True)
class Sterling:
    """GBP for one unit of the invoice's currency, and since when; the VAT in GBP."""

    rate: Decimal
    since: date | None
    vat: Decimal


@dataclass(frozen=True)
class InvoiceDraft:
    """Amounts in `currency`. `vat_invoice` is False for a workshop without a VAT number or where nothing bears VAT.

    `order` is set for a deposit invoice and a pro forma; `tax_point` is None for a pro forma, which makes none.
    `reasons`: for each rate that needs one, its VATEX code ("" for none) and the words.
    """

    workshop: Workshop
    shop: Shop
    address: Address
    deliveries: tuple[Delivery, ...]
    lines: tuple[DraftLine, ...]
    carriage: tuple[Carriage, ...]
    total: Total
    tax_point: TaxPoint | None
    issued_on: date
    due_on: date
    vat_invoice: bool
    treatment: Treatment
    sterling: Sterling
    currency: str = "GBP"
    allowances: tuple[Allowance, ...] = ()
    deducted: tuple[Deducted, ...] = ()
    reasons: dict[Rate, tuple[str, str]] = None
    prompt: Prompt | None = None
    order: Order | None = None
    kind: str = "invoice"

    @property
    def title(self) -> str:
        if self.kind == "pro forma":
            return "Pro forma invoice"
        of_deposit = " of a deposit" if self.kind == "deposit invoice" else ""
        return ("VAT invoice" if self.vat_invoice else "Invoice") + of_deposit


@dataclass(frozen=True)
class CreditLine:
    """Pairs (or, with none, an amount) of an invoice's line that are credited; `net` before the order's discount."""

    invoice_line: InvoiceLine
    pairs: int
    net: Decimal


@dataclass(frozen=True)
class CreditDraft:
    """A credit note before it is issued. `tax_point`: the day it was set off or paid back."""

    workshop: Workshop
    shop: Shop
    address: Address
    invoice: Invoice
    lines: tuple[CreditLine, ...]
    total: Total
    treatment: Treatment
    sterling: Sterling
    reasons: dict[Rate, tuple[str, str]]
    why: str
    reason: str
    anew: bool
    issued_on: date
    tax_point: date
