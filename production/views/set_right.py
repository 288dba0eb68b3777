"""Set the floor right: after hours off the book, enter what hangs now."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from config.roles import for_roles
from production.domain.set_right import set_right as set_floor_right
from production.forms.set_right import SetRightForm
from production.models import Carousel, Frame
from production.queries.floor import Place, threaded_frames
from production.views.floor import place_of
from production.views.floor_taps import at_known_fields


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def set_right(request, pk):
    row = get_object_or_404(Carousel, pk=pk)
    place = place_of(pk)
    if place.run is None:
        messages.error(request, f"No run is on at {row}: begin one, then hang what hangs.")
        return redirect(row)
    frames = _frames(place)
    form = SetRightForm(request.POST or None, frames=frames, carousel=row, initial=_as_booked(place))
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            step = set_floor_right(
                run=given["run"],
                hangs=form.seen(),
                turns=given["turns"],
                reason=given["reason"],
                by=request.user,
                tap=given["tap"],
            )
        except ValidationError as refused:
            form.add_error(None, at_known_fields(form, refused))
        else:
            told = "; ".join(step.before.get("differences", ())) or "the readings are kept"
            messages.success(request, f"The book says now what hangs: {told}.")
            return redirect(row)
    context = {
        "form": form,
        "carousel": row,
        "headline": f"What hangs on {row} now?",
        "last": place.last,
    }
    return render(request, "production/set_right.html", context, status=422 if form.errors else 200)


def _frames(place: Place) -> list[Frame]:
    """What may hang there: what does by the book, and what hangs nowhere."""
    return [*(each.frame for each in place.hung), *threaded_frames()]


def _as_booked(place: Place) -> dict:
    initial = {"run": place.run, "turns": place.run.turns}
    for each in place.hung:
        at = each.frame.position
        initial |= {f"frame_{at}": each.frame.pk, f"dips_{at}": each.frame.dips, f"done_{at}": each.frame.done}
    return initial
