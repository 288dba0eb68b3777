"""Order forms: made for a shop and sent, and read back into a draft."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from config.roles import for_roles
from inventory.models import Candle
from inventory.views.paging import RequestConfig
from inventory.words import day
from orders.domain.forms_back import take_in_form
from orders.domain.order_forms import make_order_form, send_order_form, usual_message
from orders.forms.order_forms import BackForm, MakeForm, SendForm
from orders.models import FormBack, KeptFile, OrderForm, Shop
from orders.order_form import page_words, told
from orders.queries.order_forms import forms_made, forms_of, last_year_of, usual_stretch
from orders.queries.shops import order_address_of
from orders.tables.debts import LetterTable
from orders.tables.order_forms import BackRowTable, FormRowTable, OrderFormTable
from orders.views.refusals import placed

PLACE = ("packer", "bookkeeper")
PER_PAGE, NEWEST, REFUSED = 50, 10, 422


@for_roles(*PLACE)
@require_http_methods(["GET", "POST"])
def order_forms(request):
    """Every form made, what became of it, and the way to read one that came back."""
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    form = BackForm(*sent, initial=_shop_asked(request))
    if form.is_bound and form.is_valid():
        file, shop = form.cleaned_data["file"], form.cleaned_data["shop"]
        try:
            taken = take_in_form(name=file.name, data=form.content(), shop=shop, by=request.user)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            return _to_its_order(request, taken)
    table = OrderFormTable(forms_made())
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    made, back = OrderForm.objects.count(), OrderForm.objects.filter(backs__isnull=False).distinct().count()
    context = {"form": form, "table": table, "headline": page_words.all_forms(made, back)}
    return render(request, "orders/order_forms/list.html", context, status=REFUSED if form.is_bound else 200)


def _shop_asked(request) -> dict:
    asked = request.GET.get("shop", "")
    return {"shop": asked} if asked.isascii() and asked.isdecimal() and len(asked) < 10 else {}


def _to_its_order(request, taken):
    back, order = taken.back, taken.back.order
    if taken.new:
        rows = list(order.lines.all())
        read = told.what_was_read(len(rows), sum(row.pairs for row in rows), len(order.unread))
        messages.success(request, f"{read}. Look it over, then take the order.")
    else:
        read_on = day(timezone.localdate(back.read_at))
        messages.info(request, f"The very same was read on {read_on}: it is order {order.number}, {order.status}.")
    return redirect(order)


@for_roles(*PLACE)
@require_http_methods(["GET", "POST"])
def order_form_new(request, pk):
    shop = get_object_or_404(Shop, pk=pk)
    first, last = usual_stretch(timezone.localdate())
    form = MakeForm(request.POST or None, initial={"first_day": first, "last_day": last})
    if request.method == "POST" and form.is_valid():
        try:
            made = make_order_form(shop=shop, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            return redirect(made)
    pairs, words = last_year_of(shop, first, last)
    context = {
        "shop": shop,
        "form": form,
        "headline": page_words.new_form(str(shop), pairs, words),
        "earlier": OrderFormTable(forms_of(shop)[:NEWEST], exclude=("shop",), orderable=False),
    }
    status = REFUSED if request.method == "POST" else 200
    return render(request, "orders/order_forms/new.html", context, status=status)


@for_roles(*PLACE)
@require_http_methods(["GET", "POST"])
def order_form(request, pk):
    """One form: sending it, fetching its file, what stands on it and what it came back as."""
    row = get_object_or_404(OrderForm.objects.select_related("shop", "made_by"), pk=pk)
    form = SendForm(initial={"to": order_address_of(row.shop), "message": usual_message(row)})
    if request.method == "POST":
        form = SendForm(request.POST)
        if form.is_valid():
            try:
                letter = send_order_form(form=row, by=request.user, **form.cleaned_data)
            except ValidationError as error:
                form.add_error(None, placed(form, error))
            else:
                messages.success(request, f"A letter with {row} is written to {letter.to}.")
                return redirect(row)
    backs = row.backs.select_related("order")
    letters = row.file.letters.select_related("shop")
    names = dict(Candle.objects.values_list("code", "name"))
    context = {
        "row": row,
        "form": form,
        "letters": LetterTable(letters, exclude=("shop",), orderable=False),
        "backs": backs,
        "rows": FormRowTable([{**one, "name": names.get(one["code"], "")} for one in row.rows]),
        "headline": page_words.one_form(str(row), str(row.shop), len(row.rows), len(letters), len(backs)),
    }
    return render(request, "orders/order_forms/form.html", context, status=REFUSED if form.is_bound else 200)


@for_roles(*PLACE)
@require_safe
def form_back(request, pk):
    """How one that came back was read, row by row."""
    back = get_object_or_404(FormBack.objects.select_related("form", "order__shop", "read_by"), pk=pk)
    named = str(back.form) if back.form else "A form without its number"
    context = {
        "back": back,
        "table": BackRowTable(back.rows),
        "headline": page_words.came_back(named, str(back.order.shop), back.rows),
    }
    return render(request, "orders/order_forms/back.html", context)


@for_roles(*PLACE)
@require_safe
def kept_file(request, pk):
    """A file as it is kept, as a download: what a stranger sent is never shown in the page."""
    row = get_object_or_404(KeptFile, pk=pk)
    response = HttpResponse(bytes(row.content), content_type=row.media_type)
    response["Content-Disposition"] = f"attachment; filename*=UTF-8''{page_words.quoted(row.name)}"
    return response
