"""Test burns: all of them, one begun, and one with its cycles beside the limits."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles
from inventory.models import Candle
from inventory.queries.records import records_of
from inventory.tables.stockroom import RecordTable
from inventory.views.lists import PER_PAGE
from inventory.views.paging import RequestConfig
from inventory.words import counted, measure
from production.burn_findings import CAUTION, burn_sentence, findings
from production.burning import burn_hours, hours_in_words
from production.domain.burn_tests import CYCLE_FIELDS, add_cycle, begin_test, take_back_cycle
from production.forms.burn_tests import BurnTestForm, CycleForm, TakeBackForm
from production.queries.burning import as_samples, burn_rate_of
from production.queries.burning import burn_tests as all_tests
from production.tables.burn_tests import BurnTestTable, CycleTable, FindingTable


@for_roles("dipper")
@require_safe
def burn_tests(request):
    rows = all_tests()
    table = BurnTestTable(rows)
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    candles = rows.order_by().values("candle").distinct().count()
    tested = (
        f"{counted(rows.count(), 'test burn')} of {counted(candles, 'candle')}." if candles else "No test burn yet."
    )
    return render(request, "production/burn_tests.html", {"table": table, "headline": tested, "caution": CAUTION})


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def burn_test_new(request, pk):
    candle = get_object_or_404(Candle.objects.select_related("wax", "colour"), pk=pk)
    form = BurnTestForm(request.POST or None, candle=candle)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            test = begin_test(
                candle=candle,
                masses=form.masses,
                begun_on=given["begun_on"],
                lot=given["lot"],
                note=given["note"],
                submission=given["submission"],
                by=request.user,
            )
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, "Begun. Burn each sample for 240 minutes, let it rest for an hour, and so on.")
            return redirect(test)
    context = {"candle": candle, "form": form, "caution": CAUTION, "one_g": measure(candle.grams_a_pair / 2)}
    return render(request, "production/burn_test_new.html", context, status=422 if form.is_bound else 200)


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def burn_test(request, pk):
    test = get_object_or_404(all_tests(), pk=pk)
    if request.method != "POST":
        return _page(request, test, CycleForm(initial=_next(test)))
    form = CycleForm(request.POST)
    if form.is_valid():
        given = form.cleaned_data
        values = {name: given[name] for name in CYCLE_FIELDS}
        try:
            cycle = add_cycle(
                test=test, sample=given["sample"], values=values, submission=given["submission"], by=request.user
            )
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"Cycle {cycle.number} of sample {given['sample']} is written down.")
            return redirect(test)
    return _page(request, test, form, status=422)


@for_roles("dipper")
@require_POST
def burn_cycle_back(request, pk):
    test, form = get_object_or_404(all_tests(), pk=pk), TakeBackForm(request.POST)
    if form.is_valid():
        try:
            take_back_cycle(test=test, cycle=form.cleaned_data["cycle"], by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, "Taken back.")
            return redirect(test)
    return _page(request, test, CycleForm(initial=_next(test)), refused=form, status=422)


def _next(test) -> dict:
    """The sample that has burnt least is next, rested for the hour unless it is its first burn."""
    sample = min(as_samples(test), key=lambda sample: (len(sample.cycles), sample.number))
    return {"sample": sample.number, "rest_min": 60 if sample.cycles else 0, "minutes": 240}


def _cycles(test) -> list:
    """Every cycle, sample by sample; the last of each can be taken back."""
    rows = []
    for sample in test.samples.all():
        cycles = list(sample.cycles.all())
        for cycle in cycles:
            cycle.last = cycle is cycles[-1]
        rows += cycles
    return rows


def _page(request, test, form, *, refused=None, status=200):
    samples, candle = as_samples(test), test.candle
    rate = burn_rate_of(candle)
    context = {
        "test": test,
        "headline": burn_sentence(str(candle), samples),
        "weights": ", ".join(measure(sample.mass_g) for sample in samples),
        "findings": FindingTable(findings(samples)),
        "cycles": CycleTable(_cycles(test)),
        "form": form,
        "refused": refused,
        "caution": CAUTION,
        "burns": hours_in_words(burn_hours(candle.grams_a_pair / 2, rate.g_hour)) if candle.grams_a_pair else "",
        "basis": rate.basis,
        "records": RecordTable(records_of("test burn", test.pk)),
    }
    return render(request, "production/burn_test.html", context, status=status)
