"""One's own password and PIN. The password until now is asked for, so a tablet left lying changes nobody's."""

from django.contrib import messages
from django.contrib.auth import authenticate, update_session_auth_hash
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST, require_safe

from config.device import DEVICE
from config.domain.people import set_password, set_pin
from config.forms import OwnPasswordForm, OwnPinForm
from config.locks import forget_failures
from config.views.sign_in import status_of, why_not


@require_safe
def own_sign_in(request):
    return _page(request)


@sensitive_post_parameters()
@require_POST
def own_password(request):
    form = OwnPasswordForm(request.POST)
    if form.is_valid() and _is_own_password(request, form):
        try:
            person = set_password(person=request.user, password=form.cleaned_data["password"], by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            _stay_signed_in(request, person)
            messages.success(request, "Your password is changed. Other devices you opened are signed out.")
            return redirect("own_sign_in")
    return _page(request, status=status_of(request), password_form=form)


@sensitive_post_parameters()
@require_POST
def own_pin(request):
    form = OwnPinForm(request.POST)
    if form.is_valid() and _is_own_password(request, form):
        try:
            set_pin(person=request.user, pin=form.cleaned_data["pin"], by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, "Your PIN is set." if form.cleaned_data["pin"] else "You have no PIN any more.")
            return redirect("own_sign_in")
    return _page(request, status=status_of(request), pin_form=form)


def _page(request, *, status=200, password_form=None, pin_form=None):
    context = {
        "password_form": password_form or OwnPasswordForm(auto_id="password-%s"),
        "pin_form": pin_form or OwnPinForm(auto_id="pin-%s"),
    }
    return render(request, "config/own_sign_in.html", context, status=status)


def _is_own_password(request, form) -> bool:
    """Asked through the backends, so that wrong tries count towards the lock like any other."""
    person = authenticate(request, username=request.user.username, password=form.cleaned_data["old_password"])
    if person is None:
        form.add_error("old_password", why_not(request, "This is not your password."))
        return False
    forget_failures(request, person.username)
    return True


def _stay_signed_in(request, person) -> None:
    """A new password ends all sessions of its person but this one."""
    device = request.session.get(DEVICE)
    update_session_auth_hash(request, person)
    if device and device["by"] == person.pk:
        request.session[DEVICE] = {**device, "hash": person.get_session_auth_hash()}
