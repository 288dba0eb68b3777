"""Labels for the cases of a closed delivery: what they say, their numbers, the sheets to print."""

from urllib.parse import urlencode

from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from config.roles import for_roles
from inventory.barcode_svg import NoRoom
from inventory.label_layout import CASE, style_of
from inventory.models import Workshop
from inventory.printing import render_pdf
from inventory.queries.labels import sheets_for
from inventory.views.pdf import pdf_response
from inventory.words import counted
from orders.domain.case_labels import number_cases
from orders.forms.case_labels import CaseLabelForm
from orders.models import Delivery
from orders.models.delivery import LEFT, PACKED
from orders.queries.case_labels import case_label, case_row, closed_boxes
from orders.tables.case_labels import CaseTable

DELIVERIES = Delivery.objects.select_related("order__shop", "note")


@for_roles("packer")
@require_http_methods(["GET", "HEAD", "POST"])
def case_labels(request, pk):
    """The page; sent, it numbers the cases that have no number yet and goes on to the sheets."""
    delivery = get_object_or_404(DELIVERIES, pk=pk)
    if request.method != "POST":
        return _page(request, delivery, CaseLabelForm())
    form = CaseLabelForm(request.POST)
    if form.is_valid():
        try:
            number_cases(delivery=delivery, by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            asked = urlencode({"sheet": form.cleaned_data["sheet"].pk, "start": form.cleaned_data["start"]})
            return redirect(f"{reverse('case_labels_pdf', args=[pk])}?{asked}")
    return _page(request, delivery, form, status=422)


@for_roles("packer")
@require_safe
def case_labels_pdf(request, pk):
    delivery = get_object_or_404(DELIVERIES, pk=pk)
    if not request.GET:
        return redirect("case_labels", pk)
    form = CaseLabelForm(request.GET)
    if not form.is_valid():
        return _page(request, delivery, form, status=422)
    rows = [case_row(box) for box in closed_boxes(delivery)] if delivery.state in (PACKED, LEFT) else []
    if not rows or any(_wants_number(row) for row in rows):
        return redirect("case_labels", pk)
    sheet = form.cleaned_data["sheet"]
    try:
        labels = [case_label(row, sheet) for row in rows]
    except NoRoom as narrow:
        form.add_error("sheet", str(narrow))
        return _page(request, delivery, form, status=422)
    content = {"labels": labels, "of": len(rows), "title": f"Cases of {delivery}"}
    drawn = render_pdf("print/case_labels.html", content, style=style_of(sheet, least=CASE))
    # pypdf is loaded with the first sheets, not with every start.
    from inventory.label_sheets import lay_out  # noqa: PLC0415

    pdf = lay_out(drawn, sheet=sheet, start=form.cleaned_data["start"])
    return pdf_response(request, pdf, f"cases {delivery}")


def _has_prefix() -> bool:
    return Workshop.objects.exclude(gs1_prefix="").exists()


def _wants_number(row: dict) -> bool:
    return not row["case"].sscc and _has_prefix()


def _page(request, delivery: Delivery, form: CaseLabelForm, status: int = 200):
    closed = delivery.state in (PACKED, LEFT)
    rows = [case_row(box) for box in closed_boxes(delivery)] if closed else []
    context = {
        "delivery": delivery,
        "form": form,
        "closed": closed,
        "sheets": sheets_for(CASE).exists(),
        "prefix": _has_prefix(),
        "headline": _headline(delivery, rows, closed),
        "table": CaseTable(rows),
        "lifting": any(row["lifting"] for row in rows),
    }
    return render(request, "orders/case_labels.html", context, status=status)


def _headline(delivery: Delivery, rows: list[dict], closed: bool) -> str:
    if not closed:
        return f"The boxes of {delivery} are not closed: a case is labelled once it is."
    told = sum(not row["why"] for row in rows)
    cases = counted(len(rows), "case")
    if told == len(rows):
        return f"{delivery} has {cases}, and a scanner reads what each of them holds."
    if not told:
        return f"{delivery} has {cases}; what each of them holds is said in words."
    return f"{delivery} has {cases}; a scanner reads what {told} of them hold, the others say it in words."
