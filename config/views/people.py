"""The people of the workshop: the owner's pages. On a handed-over device the middleware asks the password first."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from config.domain import people as domain
from config.forms import NewPersonForm, PersonForm, SetPasswordForm, SetPinForm
from config.locks import locked_addresses
from config.models import Person
from config.roles import ROLES, for_roles
from config.tables import PeopleTable
from inventory.domain.versions import StaleVersion, fingerprint
from inventory.models import Record
from inventory.views.paging import RequestConfig

SHOWN_RECORDS = 30


@for_roles("owner")
@require_http_methods(["GET", "HEAD"])
def people(request):
    everybody = list(Person.objects.order_by("-is_active", "full_name"))
    locked = locked_addresses([person.username for person in everybody])
    table = PeopleTable(everybody, locked=locked)
    RequestConfig(request, paginate={"per_page": 50}).configure(table)
    here = [person for person in everybody if person.is_active]
    context = {
        "table": table,
        "here": len(here),
        "locked": [person.full_name for person in here if person.username in locked],
        "without_pin": sum(not person.pin for person in here),
    }
    return render(request, "config/people.html", context)


@for_roles("owner")
@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def person_new(request):
    form = NewPersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            person = domain.add_person(**form.cleaned_data, by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"{person.full_name} works here now.")
            return redirect("person", person.pk)
    return render(request, "config/person_new.html", {"form": form}, status=422 if form.is_bound else 200)


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def person(request, pk: int):
    somebody = get_object_or_404(Person, pk=pk)
    if request.method != "POST":
        return _page(request, somebody)
    form = PersonForm(request.POST)
    if form.is_valid():
        try:
            domain.change_person(person=somebody, **form.cleaned_data, by=request.user)
        except StaleVersion as stale:
            somebody.refresh_from_db()
            form.add_error(None, stale)
            # The next save is against what stands there now, having been shown.
            form.data = form.data.copy()
            form.data["seen"] = _seen(somebody)
            return _page(request, somebody, status=422, form=form, stale=somebody)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"{form.cleaned_data['full_name']} is written down.")
            return redirect("person", pk)
    return _page(request, somebody, status=422, form=form)


@for_roles("owner")
@sensitive_post_parameters()
@require_POST
def set_password(request, pk: int):
    somebody = get_object_or_404(Person, pk=pk)
    form = SetPasswordForm(request.POST, auto_id="password-%s")
    if form.is_valid():
        try:
            domain.set_password(person=somebody, password=form.cleaned_data["password"], by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"{somebody.full_name} has a new password; every older session of theirs ended.")
            return redirect("person", pk)
    return _page(request, somebody, status=422, password_form=form)


@for_roles("owner")
@sensitive_post_parameters()
@require_POST
def set_pin(request, pk: int):
    somebody = get_object_or_404(Person, pk=pk)
    form = SetPinForm(request.POST, auto_id="pin-%s")
    if form.is_valid():
        try:
            domain.set_pin(person=somebody, pin=form.cleaned_data["pin"], by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            has = "a new PIN" if form.cleaned_data["pin"] else "no PIN any more"
            messages.success(request, f"{somebody.full_name} has {has}.")
            return redirect("person", pk)
    return _page(request, somebody, status=422, pin_form=form)


@for_roles("owner")
@require_POST
def lift_lock(request, pk: int):
    somebody = get_object_or_404(Person, pk=pk)
    if domain.lift_lock(person=somebody, by=request.user):
        messages.success(request, f"The lock is lifted: {somebody.full_name} may try again.")
    else:
        messages.info(request, f"{somebody.full_name} was not locked out.")
    return redirect("person", pk)


@for_roles("owner")
@require_POST
def person_leaves(request, pk: int):
    somebody = get_object_or_404(Person, pk=pk)
    try:
        domain.let_go(person=somebody, by=request.user)
    except ValidationError as refused:
        return _page(request, somebody, status=422, refused=refused.messages)
    messages.success(request, f"{somebody.full_name} may not sign in any more. What they did stays on record.")
    return redirect("person", pk)


@for_roles("owner")
@require_POST
def person_returns(request, pk: int):
    somebody = get_object_or_404(Person, pk=pk)
    domain.take_back(person=somebody, by=request.user)
    messages.success(request, f"{somebody.full_name} works here again.")
    return redirect("person", pk)


def _page(request, somebody, *, status=200, form=None, password_form=None, pin_form=None, stale=None, refused=()):
    initial = {"full_name": somebody.full_name, "roles": sorted(somebody.roles), "seen": _seen(somebody)}
    context = {
        "person": somebody,
        "works_as": domain.in_words(somebody.roles),
        "form": form or PersonForm(initial=initial),
        "password_form": password_form or SetPasswordForm(auto_id="password-%s"),
        "pin_form": pin_form or SetPinForm(auto_id="pin-%s"),
        "locked": locked_addresses([somebody.username]).get(somebody.username, []),
        "records": Record.objects.filter(subject="person", subject_id=somebody.pk).select_related("person")[
            :SHOWN_RECORDS
        ],
        "stale": stale,
        "refused": refused,
    }
    return render(request, "config/person.html", context, status=status)


def _seen(somebody) -> str:
    return fingerprint(somebody, ("full_name", *ROLES))
