"""The ledger: what was invoiced, what still has to be, and making an invoice of it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Sum
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from config.roles import for_roles
from inventory.csv_out import csv_response
from inventory.queries.records import records_of
from inventory.views.paging import RequestConfig
from inventory.words import counted, day
from orders.domain.invoice_draft import draft_invoice, first_choice
from orders.domain.invoicing import FiguresChanged, figures_of, issue_invoice
from orders.forms.invoices import ChooseForm, LedgerFilter
from orders.models import PaperFile, Shop
from orders.money import in_pounds
from orders.queries.credits import credit_notes_for_list, invoices_for_list, with_credits
from orders.queries.debts import invoices_with_open
from orders.queries.evidence import waiting_evidence
from orders.queries.invoices import net_by_delivery, to_invoice, waiting_by_shop, waiting_in_words
from orders.tables.credits import CreditNoteTable, EvidenceTable
from orders.tables.invoices import InvoicedTable, InvoiceTable, LineTable, VatTable, WaitingTable
from orders.tables.order_page import StoryTable
from orders.tax_point import last_day_to_issue

PER_PAGE = 50
NOTES_PER_PAGE = 20


@for_roles("bookkeeper")
@require_safe
def ledger(request):
    filtered, sums = _filtered(request)
    # The tax point last: what is to be paid is seen on a tablet too.
    table = InvoiceTable(filtered.qs, sums=sums, sequence=("number", "shop", "issued", "due_on", "...", "tax_point"))
    # Other currencies stand beside their amounts; the CSV has a column for them.
    table.columns.hide("currency")
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    waiting, today = waiting_by_shop(), timezone.localdate()
    notes = CreditNoteTable(_credited(filtered), prefix="notes-")
    RequestConfig(request, paginate={"per_page": NOTES_PER_PAGE}).configure(notes)
    evidence = EvidenceTable(waiting_evidence(), prefix="evidence-", today=today)
    RequestConfig(request, paginate={"per_page": NOTES_PER_PAGE}).configure(evidence)
    context = {
        "notes": notes,
        "evidence": evidence if evidence.paginator.count else None,
        "sentence": waiting_in_words(waiting, today),
        "waiting": WaitingTable(waiting, prefix="waiting-"),
        "first": waiting[0].shop if waiting else None,
        "filter": filtered,
        "table": table,
        "found": counted(table.paginator.count, "invoice"),
        "sums": {name: in_pounds(amount) for name, amount in sums.items()},
    }
    return render(request, "orders/ledger.html", context)


@for_roles("bookkeeper")
@require_safe
def ledger_csv(request):
    filtered, _ = _filtered(request)
    table = InvoiceTable(filtered.qs)
    RequestConfig(request, paginate=False).configure(table)
    return csv_response(table, "invoices")


def _filtered(request):
    """The invoices asked for, and their sums in pounds: other currencies are not added to them."""
    filtered = LedgerFilter(request.GET, queryset=invoices_for_list())
    pounds = filtered.qs.filter(currency="GBP").order_by()
    found = pounds.aggregate(net=Sum("net"), vat=Sum("vat"), gross=Sum("gross"), off=Sum("credited"))
    # Summed under a name of its own: as "credited" the sum would hide the column it adds up.
    found["credited"] = found.pop("off")
    return filtered, {name: amount or 0 for name, amount in found.items()}


def _credited(filtered: LedgerFilter):
    """The credit notes of the same shop and days as the invoices shown."""
    asked = filtered.form.cleaned_data if filtered.form.is_valid() else {}
    rows = {
        "shop": asked.get("shop"),
        "paper__issued_on__gte": asked.get("since"),
        "paper__issued_on__lte": asked.get("until"),
    }
    return credit_notes_for_list().filter(**{name: value for name, value in rows.items() if value})


@for_roles("bookkeeper")
@require_safe
def invoice(request, pk):
    rows = with_credits(invoices_with_open().select_related("paper__issued_by", "shop", "evidence", "order"))
    row = get_object_or_404(rows, pk=pk)
    lines = row.lines.select_related("order_line__candle__colour", "order_line__order")
    deliveries = [one.delivery for one in row.deliveries.select_related("delivery__note", "delivery__order")]
    context = {
        "invoice": row,
        "content": row.paper.content,
        "evidence": getattr(row, "evidence", None),
        "notes": CreditNoteTable(credit_notes_for_list().filter(invoice=row), orderable=False)
        if row.credited
        else None,
        "overdue": row.due_on < timezone.localdate(),
        "lines": LineTable(lines),
        "rates": VatTable(row.vat_rows.all()),
        "deliveries": InvoicedTable(deliveries),
        "sha256": PaperFile.objects.filter(paper=row.paper).values_list("sha256", flat=True).first(),
        "story": StoryTable(records_of("invoice", pk)),
    }
    return render(request, "orders/invoice.html", context)


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def invoice_new(request, pk):
    shop, today = get_object_or_404(Shop, pk=pk), timezone.localdate()
    waiting = list(to_invoice(shop))
    chosen = _chosen(request, waiting, today)
    form = ChooseForm(chosen, waiting=_choices(waiting))
    ids = form.cleaned_data["delivery"] if form.is_valid() else []
    if request.method == "POST" and form.is_valid():
        try:
            made = issue_invoice(
                shop=shop, delivery_ids=ids, issued_on=today, by=request.user, seen=form.cleaned_data["seen"]
            )
        except FiguresChanged as changed:
            form.add_error(None, changed)
        except ValidationError as error:
            if getattr(error, "same", None):
                messages.info(request, f"{error.same} was issued for exactly these deliveries before.")
                return redirect(error.same)
            ids = []
            form.add_error("delivery", error)
        else:
            messages.success(request, f"{made} is issued: {in_pounds(made.gross)} by {day(made.due_on)}.")
            return redirect(made)
    context = {"shop": shop, "form": form, "waiting": waiting, **_preview(shop, ids, form, today)}
    status = 422 if request.method == "POST" else 200
    return render(request, "orders/invoice_new.html", context, status=status)


def _chosen(request, waiting, today):
    """What is ticked: as sent; on a first visit those that may stand together with the oldest."""
    if request.method == "POST":
        return request.POST
    return request.GET if "delivery" in request.GET else {"delivery": first_choice(waiting, today)}


def _choices(waiting):
    nets = net_by_delivery(waiting)
    return [
        (
            delivery.pk,
            f"{delivery}, left {day(delivery.left_on)}, order {delivery.order.number}"
            f"{', ' + delivery.order.reference if delivery.order.reference else ''}: {in_pounds(nets[delivery.pk])}; "
            f"invoice by {day(last_day_to_issue(delivery.left_on))}",
        )
        for delivery in waiting
    ]


def _preview(shop, ids, form, today):
    """Every figure of the invoice as it would be issued now, with how each came about; or why it cannot be."""
    if not ids:
        return {}
    try:
        draft = draft_invoice(shop=shop, delivery_ids=ids, issued_on=today)
    except ValidationError as error:
        form.add_error("delivery", error)
        return {}
    sums = ("goods", "allowance", "deposit", "carriage", "net", "vat", "gross")
    figures = {name: in_pounds(getattr(draft.total, name)) for name in sums}
    return {
        "draft": draft,
        "figures": figures,
        "carriage": [{"why": part.why, "amount": in_pounds(part.amount)} for part in draft.carriage],
        "seen": figures_of(draft),
        "lines": LineTable(draft.lines),
        "rates": VatTable(draft.total.rates),
        "count": counted(len(draft.deliveries), "delivery", "deliveries"),
    }
