from orders.models.bags import OrderBags
from orders.models.bank import BankColumns, BankFile, BankLine
from orders.models.box_use import BoxUse
from orders.models.case_label import CaseLabel
from orders.models.complaint import Complaint
from orders.models.credit import CreditNote, CreditNoteLine, CreditNoteVat
from orders.models.delivery import Box, BoxContent, BoxKind, Delivery, DeliveryLine, VanDay
from orders.models.e_invoice import EInvoice
from orders.models.invoice import (
    DepositDeducted,
    ExchangeRate,
    ExportEvidence,
    Invoice,
    InvoicedDelivery,
    InvoiceLine,
    InvoiceVat,
    VatRate,
)
from orders.models.kept_file import KeptFile
from orders.models.late import BaseRate, LateCharge, LateWaiver
from orders.models.order import MOST_PAIRS, Order, OrderLine, SetAside
from orders.models.order_form import FormBack, OrderForm
from orders.models.paper import Paper, PaperCancellation, PaperFile, Series
from orders.models.payment import Payment, PaymentPart, PromptTaken
from orders.models.period import PeriodClose
from orders.models.post import Letter
from orders.models.price import AgreedPrice, BoxBreak, ListPrice, PriceList, SecondsAge, SecondsPrice, ShopGroup
from orders.models.pro_forma import ProForma
from orders.models.promise import PromisedDate
from orders.models.returns import Return, ReturnLine
from orders.models.season import BookedBefore, SeasonFigures
from orders.models.seconds_box import SecondsBox, SecondsBoxContent
from orders.models.shop import Address, Contact, Shop
from orders.models.shop_link import ShopLink

__all__ = [
    "MOST_PAIRS",
    "Address",
    "AgreedPrice",
    "BankColumns",
    "BankFile",
    "BankLine",
    "BaseRate",
    "BookedBefore",
    "Box",
    "BoxBreak",
    "BoxContent",
    "BoxKind",
    "BoxUse",
    "CaseLabel",
    "Complaint",
    "Contact",
    "CreditNote",
    "CreditNoteLine",
    "CreditNoteVat",
    "Delivery",
    "DeliveryLine",
    "DepositDeducted",
    "EInvoice",
    "ExchangeRate",
    "ExportEvidence",
    "FormBack",
    "Invoice",
    "InvoiceLine",
    "InvoiceVat",
    "InvoicedDelivery",
    "KeptFile",
    "LateCharge",
    "LateWaiver",
    "Letter",
    "ListPrice",
    "Order",
    "OrderBags",
    "OrderForm",
    "OrderLine",
    "Paper",
    "PaperCancellation",
    "PaperFile",
    "Payment",
    "PaymentPart",
    "PeriodClose",
    "PriceList",
    "ProForma",
    "PromisedDate",
    "PromptTaken",
    "Return",
    "ReturnLine",
    "SeasonFigures",
    "SecondsAge",
    "SecondsBox",
    "SecondsBoxContent",
    "SecondsPrice",
    "Series",
    "SetAside",
    "Shop",
    "ShopGroup",
    "ShopLink",
    "VanDay",
    "VatRate",
]
