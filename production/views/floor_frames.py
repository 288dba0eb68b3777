"""Frames on the floor: threaded, hung, read with the gauge, scrapped."""

from decimal import Decimal

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from config.roles import for_roles
from inventory.words import counted, in_pairs, measure
from production.domain.frames import hang_frame, scrap_frame, thread_frame
from production.domain.turns import read_gauge
from production.floor_words import place_sentence
from production.forms.floor import ChooseCandleForm, HangForm, ReadingForm, ScrapForm, ThreadForm
from production.models import Carousel, Frame
from production.models.frame import HANGING, THREADED
from production.queries.floor import floor_places, threaded_frames
from production.queries.growing import growing_of
from production.queries.plan_pages import planned_place, planned_to_thread
from production.queries.threading import candles_dipped, loading_of, share_out, wants_waiting
from production.views.floor import place_of
from production.views.floor_taps import at_known_fields

STEP_MM, PAD_HALF = Decimal("0.1"), 7  # fifteen likely values, 0.1 mm apart
FRAMES = Frame.objects.select_related("candle__colour", "candle__wax", "carousel", "kind")


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def reading(request, pk):
    """Two taps: the first opens this page, the second is one of the likely values."""
    frame = get_object_or_404(FRAMES, pk=pk)
    if frame.state != HANGING and request.method != "POST":
        messages.error(request, f"{frame} hangs on no carousel: there is nothing to gauge.")
        return redirect("floor")
    form = ReadingForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            read_gauge(
                frame=frame, mm=given["mm"], replaces_last=given["replaces_last"], by=request.user, tap=given["tap"]
            )
        except ValidationError as refused:
            form.add_error(None, at_known_fields(form, refused))
        else:
            return _read(request, frame, given["mm"])
    if frame.carousel_id:
        place_of(frame.carousel_id)
    frame = get_object_or_404(FRAMES, pk=pk)
    growing = growing_of([frame]).get(frame.pk)
    context = {
        "frame": frame,
        "form": form,
        "headline": f"What does the gauge say of {frame}, {frame.candle}?",
        "pad": _pad(growing),
        "expected": growing and f"about {growing.mm:.1f} mm expected after {counted(frame.dips, 'dip')}",
        "last": growing.readings[-1] if growing and growing.readings else None,
        "refused": bool(form.errors),
    }
    return render(request, "production/reading.html", context, status=422 if form.errors else 200)


def _read(request, frame: Frame, mm: Decimal):
    messages.success(request, f"{frame}: {measure(mm)} mm is kept.")
    if not frame.carousel_id:
        return redirect("floor")
    return redirect(f"{reverse('carousel', args=[frame.carousel_id])}?frame={frame.pk}")


def _pad(growing) -> list[tuple[str, bool]]:
    """Likely diameters round the expected one, as text, and which one is expected."""
    if growing is None:
        return []
    middle = Decimal(growing.mm).quantize(STEP_MM)
    values = [middle + STEP_MM * n for n in range(-PAD_HALF, PAD_HALF + 1)]
    return [(f"{value:f}", value == middle) for value in values if value > 0]


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def hang(request, pk):
    row = get_object_or_404(Carousel, pk=pk)
    place = floor_places(Carousel.objects.filter(pk=pk))[0]
    if request.method != "POST" and (place.run is None or not place.free):
        messages.error(request, f"{row} is full." if place.run else f"No run is on at {row}: begin one first.")
        return redirect(row)
    asked = {name: value for name in ("frame", "position") if (value := request.GET.get(name, "")).isdecimal()}
    # A position that somebody took meanwhile is refused with its reason, not as a choice that is none.
    positions = place.free if request.method != "POST" else range(1, row.positions + 1)
    frames = threaded_frames() if request.method != "POST" else FRAMES
    initial = {"position": place.free[0] if place.free else None, "run": place.run, **asked}
    form = HangForm(request.POST or None, frames=frames, positions=positions, initial=initial)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            hang_frame(
                frame=given["frame"], carousel=row, position=given["position"], by=request.user, tap=given["tap"]
            )
        except ValidationError as refused:
            form.add_error(None, at_known_fields(form, refused))
        else:
            messages.success(request, f"{given['frame']} hangs at position {given['position']}.")
            return redirect(f"{row.get_absolute_url()}?frame={given['frame'].pk}")
    context = {
        "form": form,
        "carousel": row,
        "place": place,
        "headline": f"Hang which frame on {row}?",
        "said": place_sentence(place),
        "waiting": threaded_frames(),
        "positions": place.free,
    }
    return render(request, "production/hang.html", context, status=422 if form.errors else 200)


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def thread(request):
    """First the candle and the frame, by the address; then pairs and what they hang for."""
    chosen = ChooseCandleForm(request.GET or None, candles=candles_dipped())
    if not (request.GET and chosen.is_valid()):
        context = {"choose": chosen, "headline": "Thread a frame for which candle?"}
        return render(request, "production/thread.html", context, status=422 if request.method == "POST" else 200)
    candle, kind = chosen.cleaned_data["candle"], chosen.cleaned_data["kind"]
    wants, loading = wants_waiting(candle), loading_of(kind, candle)
    planned = planned_to_thread(request.GET.get("planned", ""), candle)
    counted_on, shares = share_out(candle, loading.pairs, wants, planned)
    form = ThreadForm(request.POST or None, wants=wants, initial={"hung": loading.pairs, **shares})
    if request.method == "POST" and form.is_valid():
        try:
            hung = form.cleaned_data["hung"]
            frame = thread_frame(
                candle=candle, kind=kind, hung=hung, wants=form.promised, planned=planned, by=request.user
            )
        except ValidationError as refused:
            form.add_error(None, at_known_fields(form, refused))
        else:
            messages.success(request, f"{frame} is threaded with {in_pairs(frame.hung)} of {candle}: write {frame}.")
            return redirect(planned_place(planned, frame) if planned else "floor")
    context = {
        "choose": chosen,
        "form": form,
        "candle": candle,
        "loading": loading,
        "counted_on": counted_on,
        "headline": f"{kind} takes {in_pairs(loading.pairs)} of {candle}; {counted(counted_on, 'first')} of them "
        f"{'is' if counted_on == 1 else 'are'} counted on.",
    }
    return render(request, "production/thread.html", context, status=422 if form.errors else 200)


@for_roles("dipper")
@require_safe
def threaded(request):
    """Frames that wait to be hung, and may be scrapped."""
    frames = list(threaded_frames().prefetch_related("promises__want"))
    headline = f"{counted(len(frames), 'frame is', 'frames are')} threaded and hang nowhere yet."
    if len(frames) == 1:
        headline = "1 frame is threaded and hangs nowhere yet."
    return render(
        request,
        "production/threaded.html",
        {"frames": frames, "headline": headline if frames else "No frame waits to be hung."},
    )


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def scrap(request, pk):
    frame = get_object_or_404(FRAMES, pk=pk)
    form = ScrapForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            scrap_frame(frame=frame, reason=form.cleaned_data["reason"], by=request.user)
        except ValidationError as refused:
            form.add_error(None, at_known_fields(form, refused))
        else:
            messages.success(request, f"{frame} is scrapped; what it hung for is wanted again.")
            return redirect("floor")
    if request.method != "POST" and frame.state != THREADED:
        messages.error(request, f"{frame} is {frame.get_state_display()}: take it off before it goes.")
        return redirect(frame)
    context = {
        "form": form,
        "carousel": None,
        "headline": f"Scrap {frame}, {in_pairs(frame.hung)} of {frame.candle}?",
        "said": f"{in_pairs(frame.hung_for)} of it are promised, and would be wanted again. Its wax can be remelted.",
        "button": f"Scrap {frame}",
    }
    return render(request, "production/carousel_act.html", context, status=422 if form.errors else 200)
