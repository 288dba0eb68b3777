"""The floor's pages for a tablet: all carousels, and one with all that can be done at it."""

from uuid import uuid4

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from config.roles import for_roles
from inventory.words import measure
from production.domain.turns import settle_clock
from production.domain.undo import in_words
from production.floor_words import clock, floor_sentence, place_sentence, run_line
from production.heat import NEVER_LEAVE
from production.lifting import caution_lifting, frame_kg
from production.models import Carousel, DipRun
from production.models.run import BY_CLOCK
from production.queries.floor import Hung, Place, floor_places, threaded_frames
from production.queries.plan_next import next_on_carousel
from production.queries.wax import bath_of, hung_of
from production.tables.floor import StepTable
from production.wax_use import caution_covering

STEPS_SHOWN = 12
NO_CHANGE = 204


@for_roles("dipper")
@require_safe
def floor(request):
    for run in DipRun.objects.filter(ended_at=None, resting=False, counting=BY_CLOCK):
        settle_clock(run)
    places = floor_places(Carousel.objects.filter(active=True))
    planned = next_on_carousel()
    context = {
        "places": [(place, place_sentence(place), planned.get(place.carousel.pk)) for place in places],
        "headline": floor_sentence(places),
        "waiting": threaded_frames().count(),
        "never_leave": NEVER_LEAVE,
        "stamp": "_".join([*(place.stamp for place in places), *(planned[key].stamp for key in sorted(planned))]),
    }
    return answer(request, "production/floor.html", "production/_floor.html", context)


@for_roles("dipper")
@require_safe
def carousel(request, pk):
    place = place_of(pk)
    context = carousel_context(place, request.GET.get("frame", ""))
    return answer(request, "production/carousel.html", "production/_carousel.html", context)


def place_of(pk: int) -> Place:
    """The carousel as it stands now, its clock brought up to date."""
    row = get_object_or_404(Carousel, pk=pk)
    run = DipRun.objects.filter(carousel=row, ended_at=None).first()
    if run:
        settle_clock(run)
    return floor_places(Carousel.objects.filter(pk=pk))[0]


def answer(request, page: str, part: str, context: dict) -> HttpResponse:
    """The page; to a tablet that asks again, the part that changes, or nothing where it has it already."""
    if not request.htmx:
        return render(request, page, {**context, "part": part})
    if request.GET.get("seen") == context["stamp"]:
        return HttpResponse(status=NO_CHANGE)
    return render(request, part, context)


def carousel_context(place: Place, asked: str) -> dict:
    """What the page of one carousel shows; `asked`: the frame chosen on it."""
    chosen = next((each for each in place.hung if str(each.frame.pk) == asked), place.next)
    chosen = chosen or (place.hung or [None])[0]
    run = place.run
    planned = next_on_carousel().get(place.carousel.pk)
    return {
        "place": place,
        "planned": planned,
        "run": run,
        "chosen": chosen,
        "headline": place_sentence(place),
        "line": run_line(place),
        "never_leave": NEVER_LEAVE,
        "cautions": [*place.warnings, *_of_wax(place)],
        "told": chosen and told_of(chosen),
        "picture": place.draw(),
        "growth": chosen.draw() if chosen and chosen.growing else "",
        "odd": next((each.odd for each in reversed(chosen.judged)), "") if chosen else "",
        "undo": place.last and in_words(place.last),
        "may_turn": bool(run and not run.resting and place.dipping),
        "tap": uuid4(),
        "steps": StepTable(steps_of(place)),
        "stamp": f"{place.stamp}_{planned.stamp}" if planned else place.stamp,
        "now": timezone.now(),
    }


def told_of(hung: Hung) -> dict:
    """The chosen frame in words: how far, when, for whom."""
    growing, frame = hung.growing, hung.frame
    likely, latest = hung.at
    when = f"about {clock(likely)}" if likely and growing.left.likely else ""
    if when and latest and latest != likely:
        when += f", at the latest {clock(latest)}"
    whom = [f"{promise.pairs} for {promise.want.for_whom}" for promise in frame.promises.all()]
    spare = max(0, (frame.expected or 0) - frame.hung_for)
    stages = len(growing.later) + growing.stage.place if growing else 1
    return {
        "left": growing.left.words if growing else "Its candle has no recipe.",
        "when": when,
        "whom": "; ".join([*whom, f"{spare} for the shelf"] if spare else whom) or "for the shelf",
        "stage": f"stage {frame.stage} of {stages}: {growing.stage}" if stages > 1 else "",
        "lift": lifting_caution(hung),
    }


def lifting_caution(hung: Hung) -> str:
    """What the frame weighs now, where that is past the manual-handling filter; empty where it is not."""
    candle, frame = hung.frame.candle, hung.frame
    grown = min(1.0, hung.growing.mm / float(candle.base_mm)) if hung.growing else 1.0
    return caution_lifting(frame_kg(frame.kind.iron_g, 2 * frame.hung, float(candle.grams_a_pair) / 2 * grown**2))


def _of_wax(place: Place) -> list[str]:
    """Whether the wax will cover what hangs, and whether the vat is heated for the stages it is in."""
    if not place.run or not place.dipping:
        return []
    growing = [each.growing for each in place.dipping if each.growing]
    said = caution_covering(bath_of(place.run.vat), hung_of(growing)) if growing else ""
    vat, told = place.run.vat, [said] if said else []
    for each in growing:
        if each.finishing and vat.set_c < each.stage.celsius - 5:
            told.append(
                f"{each.frame} is in its finish: {vat} is set to {measure(vat.set_c)} C and the recipe says "
                f"{measure(each.stage.celsius)}. Heat it first."
            )
        if place.run.turn_minutes < each.stage.turn_minutes:
            told.append(
                f"{each.frame} wants {measure(each.stage.turn_minutes)} minutes a turn at least; this run takes "
                f"{measure(place.run.turn_minutes)}. A core that stays warm takes on less wax."
            )
    return told


def steps_of(place: Place):
    if place.last_run is None:
        return []
    return place.last_run.steps.select_related("frame", "person")[:STEPS_SHOWN]
