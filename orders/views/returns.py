"""A delivery that came back: one form takes it to stock, credits it and sends it again."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from config.roles import for_roles
from orders.domain.returns import came_back_before, invoice_of
from orders.domain.returns import take_back as take_it_back
from orders.forms.credits import ReturnForm
from orders.models import Delivery
from orders.models.delivery import LEFT
from orders.money import NOUGHT, in_pounds
from orders.queries.credits import left_of
from orders.tables.credits import CameBackTable
from orders.views.refusals import placed

REFUSED = 422


@for_roles("bookkeeper")
@require_http_methods(["GET", "HEAD", "POST"])
def take_back(request, pk):
    delivery = get_object_or_404(Delivery.objects.select_related("order__shop", "note"), pk=pk)
    lines = list(delivery.lines.select_related("lot__candle__colour", "lot__candle__wax"))
    before, invoice = came_back_before(delivery), invoice_of(delivery)
    most = {line.pk: line.pairs - before[line.pk] for line in lines}
    carriage = left_of(invoice).carriage if invoice else NOUGHT
    data = request.POST if request.method == "POST" else None
    form = ReturnForm(data, lines=lines, most=most, carriage=carriage)
    if form.is_bound and form.is_valid():
        try:
            made = _taken(request, delivery, form)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            return redirect(made.note)
    context = {
        "delivery": delivery,
        "invoice": invoice,
        "may": delivery.state == LEFT and invoice is not None and any(most.values()),
        "left": delivery.state == LEFT,
        "form": form,
        "table": CameBackTable(form.lines, form=form, most=most),
    }
    return render(request, "orders/take_back.html", context, status=REFUSED if form.is_bound else 200)


def _taken(request, delivery: Delivery, form: ReturnForm):
    given = form.cleaned_data
    made = take_it_back(
        delivery=delivery,
        backs=form.backs,
        reason=given["reason"],
        came_on=given["came_on"],
        carriage=given.get("carriage") or NOUGHT,
        again=given["again"],
        submission=given["submission"],
        by=request.user,
    )
    note = made.note
    said = f"It is taken back and credited: {note}, {in_pounds(note.gross)} {note.currency} off {note.invoice}."
    if made.again:
        said += f" Order {made.again.number} sends it again."
    messages.success(request, said)
    return made
