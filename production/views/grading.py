"""Frames waiting to be graded, and the page on which one is counted off or put right."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from config.roles import for_roles
from inventory.views.lists import PER_PAGE
from inventory.views.paging import RequestConfig
from inventory.words import counted, day, in_pairs
from production.domain.counting_off import CountedOff
from production.domain.grading import counted_off, grade_frame, is_hard
from production.domain.regrading import correct_grading
from production.forms.grading import REST, CorrectForm, GradeForm, initial_of
from production.models import Frame, Grading
from production.models.frame import OFF
from production.queries.grading import faults_for, frames_off, hard_frames, off_in_all
from production.tables.grading import FramesToGradeTable

FRAMES = Frame.objects.select_related("candle__colour", "candle__wax")


@for_roles("dipper")
@require_safe
def frames_to_grade(request):
    table = FramesToGradeTable(frames_off())
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    first = hard_frames().first()
    return render(
        request,
        "production/frames_to_grade.html",
        {"table": table, "first": first, "headline": _waiting_in_words(off_in_all())},
    )


def _waiting_in_words(off: dict) -> str:
    if not off["frames"]:
        return "No frame waits to be graded."
    if not off["ready"]:
        frames = counted(off["frames"], "frame hardens", "frames harden")
        return f"{frames} with {in_pairs(off['pairs'])}; none is ready to grade yet."
    frames = counted(off["ready"], "frame is", "frames are")
    rest = off["frames"] - off["ready"]
    more = f"; {counted(rest, 'more hardens', 'more harden')}" if rest else ""
    return f"{frames} hard and ready to grade, {in_pairs(off['ready_pairs'])}{more}."


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def grade(request, pk):
    frame = get_object_or_404(FRAMES, pk=pk)
    if request.method != "POST" and frame.state != OFF:
        messages.warning(request, f"{frame} is {frame.get_state_display()}: there is nothing to grade now.")
        return redirect(frame)
    options = {"frame": frame, "faults": faults_for(frame.candle), "rest": request.POST.get("rest", "")}
    form = GradeForm(request.POST or None, initial={"version": frame.version}, **options)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            grading = grade_frame(
                frame=frame, version=given["version"], **form.count(), early=given["early"], by=request.user
            )
        except ValidationError as refused:
            form.refuse(refused)
        else:
            messages.success(request, _graded_in_words(grading))
            return redirect(frame)
    return _counting_page(request, form, frame, headline=_to_count(frame, form), act=f"Grade {frame}")


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def grading_correct(request, pk):
    grading = get_object_or_404(Grading.objects.select_related("frame__candle__colour", "person"), frame__pk=pk)
    frame, before = grading.frame, counted_off(grading)
    faults = list(dict.fromkeys([*before.seconds, *faults_for(frame.candle)]))
    options = {"frame": frame, "faults": faults, "rest": request.POST.get("rest", "")}
    form = CorrectForm(request.POST or None, initial=initial_of(before, grading.version), **options)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            correct_grading(
                grading=grading, version=given["version"], **form.count(), reason=given["reason"], by=request.user
            )
        except ValidationError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"The grading of {frame} says now: {_as_it_stands(grading).in_words()}.")
            return redirect(frame)
    headline = f"{frame} was counted off as {before.in_words()}."
    return _counting_page(request, form, frame, headline=headline, act="Put it right", grading=grading)


def _as_it_stands(grading: Grading) -> CountedOff:
    return counted_off(Grading.objects.prefetch_related("faults").get(pk=grading.pk))


def _counting_page(request, form, frame: Frame, **context):
    context |= {
        "form": form,
        "frame": frame,
        "hard": is_hard(frame),
        # Offered only where nothing else is wrong: each button writes the grading.
        "rests": REST if form.is_bound and form.left > 0 and not form.rest else {},
    }
    return render(request, "production/grade.html", context, status=422 if form.errors else 200)


def _to_count(frame: Frame, form: GradeForm) -> str:
    if is_hard(frame):
        return f"{frame} has {in_pairs(frame.hung)} of {frame.candle} to count off."
    hard_at = timezone.localtime(frame.hard_at)
    return f"{frame} is not hard before {day(hard_at)}, {hard_at:%H:%M}: {in_pairs(frame.hung)} of {frame.candle}."


def _graded_in_words(grading: Grading) -> str:
    """What was made and what to write on it; what became of it stands on the frame's page."""
    lots = [f"{grading.lot} on {grading.firsts} firsts"] if grading.firsts else []
    lots += [f"{row.lot} on {row.pairs} {row.fault}" for row in grading.faults.select_related("lot")]
    write = f" Write {', '.join(lots)}." if lots else " All of it goes to remelt."
    return f"{grading.frame} is graded.{write}"
