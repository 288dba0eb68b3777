"""One planned frame, and what the owner pins."""

from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from config.roles import for_roles, works_as
from inventory.words import in_pairs
from production.domain.dip_plan.pins import pin_frame, pin_in_words, pin_vat, unpin
from production.forms.dip_plan import PinFrameForm, PinVatForm
from production.models import PlannedFrame, PlanPin
from production.models.frame import THREADED
from production.plan_words import capital, frame_sentence, pins_sentence
from production.queries.dip_plan import standing_plan
from production.queries.plan_pages import half_of
from production.tables.dip_plan import PinTable, ServesTable
from production.views.floor_taps import at_known_fields

FRAMES = PlannedFrame.objects.select_related(
    "plan", "candle__colour", "candle__wax", "vat", "carousel", "kind", "frame"
)


@for_roles("dipper")
@require_safe
def dip_plan_frame(request, pk):
    row = get_object_or_404(FRAMES, pk=pk)
    starts, half = timezone.localtime(row.starts), half_of(row)
    name = str(row.frame) if row.frame else capital(str(row))
    what = f"{in_pairs(row.pairs)} of {row.candle.name}"
    pin = PlanPin.objects.filter(candle=row.candle, vat=row.vat, day=starts.date(), half=half).first()
    context = {
        "row": row,
        "owns": works_as(request.user),
        "headline": frame_sentence(f"{name}, {what}", row.vat.name, starts, row.ready_on, timezone.localtime()),
        "serves": ServesTable(row.meant_for.select_related("want", "frame").order_by("want__wanted_by", "pk")),
        "spare": row.counted - sum(each.pairs for each in row.meant_for.all()),
        "pin": pin,
        "waits": row.frame is not None and row.frame.state == THREADED,
        "half": half,
        "thread_url": f"{reverse('thread')}?{urlencode(_thread_values(row))}",
        "pin_url": f"{reverse('dip_plan_pins')}?{urlencode(_pin_values(row, half))}#frame",
    }
    return render(request, "production/plan/frame.html", context)


def _thread_values(row: PlannedFrame) -> dict:
    return {"candle": row.candle_id, "kind": row.kind_id, "planned": row.pk}


def _pin_values(row: PlannedFrame, half: int) -> dict:
    day = timezone.localtime(row.starts).date()
    return {"candle": row.candle_id, "vat": row.vat_id, "day": day.isoformat(), "half": half}


@for_roles("dipper")
@require_safe
def dip_plan_pins(request):
    return _pins_page(request)


@for_roles()
@require_POST
def dip_plan_pin_vat(request):
    form = PinVatForm(request.POST)
    if form.is_valid():
        try:
            pin = pin_vat(**form.cleaned_data, by=request.user)
        except ValidationError as refused:
            form.add_error(None, at_known_fields(form, refused))
        else:
            return _pinned(request, pin)
    return _pins_page(request, of_vat=form)


@for_roles()
@require_POST
def dip_plan_pin_frame(request):
    form = PinFrameForm(request.POST)
    if form.is_valid():
        try:
            pin = pin_frame(**form.cleaned_data, by=request.user)
        except ValidationError as refused:
            form.add_error(None, at_known_fields(form, refused))
        else:
            return _pinned(request, pin)
    return _pins_page(request, of_frame=form)


@for_roles()
@require_POST
def dip_plan_unpin(request, pk):
    pin = PlanPin.objects.filter(pk=pk).first()
    if pin:
        unpin(pin=pin, by=request.user)
        messages.success(request, f"Let go: {pin_in_words(pin)}.")
    return redirect("dip_plan_pins")


def _pinned(request, pin: PlanPin):
    messages.success(request, f"Pinned: {pin_in_words(pin)}. Re-plan, and the plan holds it.")
    return redirect("dip_plan_pins")


def _pins_page(request, of_vat: PinVatForm | None = None, of_frame: PinFrameForm | None = None):
    pins = list(PlanPin.objects.select_related("vat", "wax", "colour", "candle", "made_by"))
    for pin in pins:
        pin.words = pin_in_words(pin)
    asked = {name: request.GET.get(name) for name in ("candle", "vat", "day", "half") if request.GET.get(name)}
    bound = of_vat or of_frame
    context = {
        "owns": (owns := works_as(request.user)),
        "plan": standing_plan(),
        "headline": pins_sentence([pin.words for pin in pins]),
        "pins": pins,
        "table": PinTable(pins, acts=owns),
        "of_vat": of_vat or PinVatForm(initial={"day": timezone.localdate()}),
        "of_frame": of_frame or PinFrameForm(initial={"day": timezone.localdate(), **asked}),
    }
    return render(request, "production/plan/pins.html", context, status=422 if bound else 200)
