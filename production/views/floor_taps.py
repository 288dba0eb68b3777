"""What is done by one tap. Each view reads the tap, calls one function of the domain, and shows the carousel again."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from config.roles import for_roles
from inventory.words import measure
from production.domain.frames import take_off
from production.domain.runs import begin_run, end_run, move_run, pace_run, rest, resume
from production.domain.turns import count_turn, mark_done, next_stage
from production.domain.undo import in_words, undo_step
from production.floor_words import clock
from production.forms.floor import BeginForm, DoneForm, MoveForm, PaceForm, TakeOffForm, TapForm, UndoForm
from production.models import Carousel, DipRun, Frame

LOST = "That tap could not be read; nothing was counted. Look, then tap again."
LONGER = "The candles are cold: leave them in for about 5 seconds at the first dip."


def act(request, pk: int, form, call, *, frame: Frame | None = None):
    """Do it and say so, or say why not; either way the carousel is shown as it stands then."""
    if not form.is_valid():
        messages.error(request, LOST)
    else:
        try:
            messages.success(request, call(form.cleaned_data))
        except ValidationError as refused:
            for said in refused.messages:
                messages.error(request, said)
    address = reverse("carousel", args=[pk])
    return redirect(f"{address}?frame={frame.pk}" if frame else address)


def run_named(pk: int, given: DipRun | None) -> DipRun:
    """The run the page showed; of a tap without one, the carousel's run. ValidationError where it is not of here."""
    run = given or DipRun.objects.filter(carousel=pk, ended_at=None).first()
    if run is None or run.carousel_id != pk:
        raise ValidationError("No run is on here: begin one first.")
    return run


@for_roles("dipper")
@require_POST
def turn(request, pk):
    get_object_or_404(Carousel, pk=pk)

    def call(given):
        step = count_turn(run=run_named(pk, given["run"]), by=request.user, tap=given["tap"])
        return f"Turn {step.turn} is done."

    return act(request, pk, TapForm(request.POST), call)


def _of_run(change, said: str):
    """A view that changes the run by one tap."""

    @for_roles("dipper")
    @require_POST
    def view(request, pk):
        get_object_or_404(Carousel, pk=pk)

        def call(given):
            run = run_named(pk, given["run"])
            change(run=run, by=request.user, tap=given["tap"])
            return said.format(run=run)

        return act(request, pk, TapForm(request.POST), call)

    return view


resting = _of_run(rest, "Run {run} rests. Never leave a heated vat: heat off, lid on.")
resuming = _of_run(resume, "Run {run} turns again. " + LONGER)
ending = _of_run(end_run, "Run {run} is over; the vat is free.")


@for_roles("dipper")
@require_POST
def undo(request, pk):
    get_object_or_404(Carousel, pk=pk)

    def call(given):
        if given["step"].run.carousel_id != pk:
            raise ValidationError(LOST)
        step = undo_step(step=given["step"], by=request.user)
        return f"Undone: {in_words(step)}."

    return act(request, pk, UndoForm(request.POST), call)


@for_roles("dipper")
@require_POST
def off(request, pk):
    frame = get_object_or_404(Frame, pk=pk)
    at = frame.carousel_id or _last_carousel(frame)

    def call(given):
        finished = given["finished"] == "yes"
        take_off(frame=frame, finished=finished, by=request.user, tap=given["tap"])
        frame.refresh_from_db()
        if not finished:
            return f"{frame} is set aside with {frame.dips} dips on; hang it again when its vat is ready."
        return f"{frame} is off and hardens until {clock(frame.hard_at)}."

    return act(request, at, TakeOffForm(request.POST), call)


@for_roles("dipper")
@require_POST
def done(request, pk):
    frame = get_object_or_404(Frame, pk=pk)

    def call(given):
        at_gauge = given["done"] == "yes"
        mark_done(frame=frame, done=at_gauge, by=request.user, tap=given["tap"])
        return f"{frame} is done: it is not dipped any more." if at_gauge else f"{frame} is dipped again."

    return act(request, frame.carousel_id or _last_carousel(frame), DoneForm(request.POST), call, frame=frame)


@for_roles("dipper")
@require_POST
def stage(request, pk):
    frame = get_object_or_404(Frame, pk=pk)

    def call(given):
        next_stage(frame=frame, by=request.user, tap=given["tap"])
        frame.refresh_from_db()
        return f"{frame} is in stage {frame.stage} of its recipe now."

    return act(request, frame.carousel_id or _last_carousel(frame), TapForm(request.POST), call, frame=frame)


def _last_carousel(frame: Frame) -> int:
    """Where a frame that hangs nowhere was last; a tap about it comes from there."""
    row = frame.runs.select_related("run").order_by("run").last()
    return row.run.carousel_id if row else get_object_or_404(Carousel.objects.order_by("pk")[:1]).pk


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def begin(request, pk):
    row = get_object_or_404(Carousel, pk=pk)

    def call(given):
        run = begin_run(carousel=row, by=request.user, **given)
        return f"Run {run} is begun over {run.vat}. {LONGER}" if row.frames.exists() else f"Run {run} is begun."

    headline, said = f"{row}: over which vat, and how long does a turn take?", "What hangs on it goes into the run."
    return asked(request, row, BeginForm(request.POST or None), call, (headline, said, "Begin the run"))


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def move(request, pk):
    row = get_object_or_404(Carousel, pk=pk)

    def call(given):
        run = move_run(run=run_named(pk, given["run"]), vat=given["vat"], by=request.user, tap=given["tap"])
        return f"{row} turns over {run.vat} now, in run {run}."

    form = MoveForm(request.POST or None, initial={"run": _open(row)})
    said = "Frames that are done with their stage enter the next one; the run ends here and a new one begins there."
    return asked(request, row, form, call, (f"Move {row} over which vat?", said, "Move it"))


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def pace(request, pk):
    row = get_object_or_404(Carousel, pk=pk)
    run = _open(row)

    def call(given):
        run = run_named(pk, given.pop("run"))
        pace_run(run=run, by=request.user, **given)
        return f"Run {run}: a turn takes {measure(given['turn_minutes'])} minutes, counted by {given['counting']}."

    initial = {"run": run, "turn_minutes": run.turn_minutes, "counting": run.counting} if run else {}
    said = "By the clock a turn is counted whenever its minutes have passed in working hours; undo and taps work too."
    words = (f"{row}: how are turns counted?", said, "Count them so")
    return asked(request, row, PaceForm(request.POST or None, initial=initial), call, words)


def _open(row: Carousel) -> DipRun | None:
    return DipRun.objects.filter(carousel=row, ended_at=None).first()


def asked(request, row: Carousel, form, call, words: tuple[str, str, str]):
    """A page with one small form about a carousel: asked for, refused in it, or done."""
    if request.method == "POST" and form.is_valid():
        try:
            messages.success(request, call(dict(form.cleaned_data)))
        except ValidationError as refused:
            form.add_error(None, at_known_fields(form, refused))
        else:
            return redirect(row)
    headline, said, button = words
    context = {"form": form, "carousel": row, "headline": headline, "said": said, "button": button}
    return render(request, "production/carousel_act.html", context, status=422 if form.errors else 200)


def at_known_fields(form, refused: ValidationError) -> ValidationError:
    """A refusal at a field the form has not goes to the head of it."""
    if not hasattr(refused, "error_dict"):
        return refused
    placed: dict = {}
    for name, errors in refused.error_dict.items():
        placed.setdefault(name if name in form.fields else "__all__", []).extend(errors)
    return ValidationError(placed)
