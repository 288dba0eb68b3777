"""The owner's own wants: pairs made ahead for the shelf."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from config.roles import for_roles
from inventory.words import day, in_pairs
from production.domain.own_wants import OWN, add_own_want, change_own_want, drop_own_want, note_of
from production.forms.own_wants import NewOwnWantForm, OwnWantForm
from production.models import Want

ADD = "What should be made ahead for the shelf?"


@for_roles()
@require_http_methods(["GET", "POST"])
def own_want_new(request):
    """`?candle=` chooses one beforehand."""
    if request.method == "GET":
        asked = request.GET.get("candle", "")
        return _page(request, NewOwnWantForm(initial={"candle": asked if asked.isdecimal() else None}), ADD)
    form = NewOwnWantForm(request.POST)
    if form.is_valid():
        try:
            want = add_own_want(by=request.user, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"{in_pairs(want.pairs)} of {want.candle} are wanted for the shelf.")
            return redirect("dip_list")
    return _page(request, form, ADD, status=422)


@for_roles()
@require_http_methods(["GET", "POST"])
def own_want(request, pk):
    want = get_object_or_404(Want.objects.select_related("candle"), pk=pk, group=OWN)
    headline = f"{in_pairs(want.pairs)} of {want.candle} are made ahead for the shelf by {day(want.wanted_by)}."
    if request.method == "GET":
        kept = {"pairs": want.pairs, "wanted_by": want.wanted_by, "note": note_of(want)}
        return _page(request, OwnWantForm(initial=kept), headline, want)
    form = OwnWantForm(request.POST)
    if form.is_valid():
        try:
            want = change_own_want(want=want, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, f"{in_pairs(want.pairs)} of {want.candle} are wanted for the shelf.")
            return redirect("dip_list")
    return _page(request, form, headline, want, status=422)


@for_roles()
@require_POST
def own_want_drop(request, pk):
    """Dropped already: nothing happens."""
    want = Want.objects.select_related("candle").filter(pk=pk).first()
    try:
        if want:
            drop_own_want(want=want, by=request.user)
    except ValidationError as error:
        messages.warning(request, " ".join(error.messages))
    else:
        messages.success(request, "It is no longer wanted for the shelf.")
    return redirect("dip_list")


def _page(request, form, headline: str, want: Want | None = None, status: int = 200):
    context = {"form": form, "headline": headline, "want": want}
    return render(request, "production/own_want.html", context, status=status)
