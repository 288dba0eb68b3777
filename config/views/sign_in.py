"""In by name and password, and out again."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import authenticate, logout
from django.contrib.auth.decorators import login_not_required
from django.shortcuts import redirect, render, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from config.device import note_password, open_device
from config.forms import GivePasswordForm, SignInForm
from config.kept_form import read_kept
from config.locks import forget_failures
from config.views.kept_form import show_kept

WRONG = "This name and this password do not belong together."
LOCKED = (
    "Five wrong tries: this name is locked for this device's address. The owner lifts the lock on the person's page "
    "under Set-up, People; otherwise it ends by itself in an hour. Other names still sign in here."
)
REFUSED, TOO_MANY = 422, 429


@login_not_required
@sensitive_post_parameters("password", "kept")
@require_http_methods(["GET", "POST"])
def sign_in(request):
    if request.method == "GET":
        if request.user.is_authenticated:
            return redirect(next_page(request))
        return show_sign_in_page(request, status=200)
    form, kept = SignInForm(request.POST), request.POST.get("kept", "")
    if form.is_valid():
        if person := authenticate(request, **form.cleaned_data):
            open_device(request, person)
            return go_on(request, kept)
        form.add_error(None, why_not(request, WRONG))
    return show_sign_in_page(request, kept, form=form, status=status_of(request))


@require_POST
def sign_out(request):
    logout(request)
    messages.success(request, "You are signed out on this device.")
    response = redirect(settings.LOGOUT_REDIRECT_URL)
    # Else the browser's back button still shows the last pages to whoever comes next.
    response["Clear-Site-Data"] = '"cache"'
    return response


@sensitive_post_parameters("password", "kept")
@require_http_methods(["GET", "POST"])
def give_password(request):
    """On a device that was handed over by PIN: the owner's password again, before the people pages."""
    if request.method == "GET":
        return show_password_page(request, status=200)
    form, kept = GivePasswordForm(request.POST), request.POST.get("kept", "")
    if form.is_valid():
        person = authenticate(request, username=request.user.username, password=form.cleaned_data["password"])
        if person and person.pk == request.user.pk:
            forget_failures(request, person.username)
            note_password(request)
            return go_on(request, kept)
        form.add_error("password", why_not(request, "This is not your password."))
    return show_password_page(request, kept, form=form, status=status_of(request))


def show_sign_in_page(request, kept: str = "", *, form=None, status: int = 403):
    """The sign-in page; `kept` is a form that came too late and rides along until it can be sent again."""
    return _show(request, "config/sign_in.html", kept, form or SignInForm(), status)


def show_password_page(request, kept: str = "", *, form=None, status: int = 403):
    return _show(request, "config/give_password.html", kept, form or GivePasswordForm(), status)


def next_page(request) -> str:
    """Where to go after signing in: `next` if it is a page of ours, else the first place of the rail."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    return wanted if ours else resolve_url(settings.LOGIN_REDIRECT_URL)


def go_on(request, kept: str):
    """After the password: back to the form that came too late, or on to the next page."""
    form = read_kept(kept)
    return show_kept(request, form, status=200) if form else redirect(next_page(request))


def why_not(request, otherwise: str) -> str:
    return LOCKED if getattr(request, "axes_locked_out", False) else otherwise


def status_of(request) -> int:
    return TOO_MANY if getattr(request, "axes_locked_out", False) else REFUSED


def _show(request, template, kept, form, status):
    kept_form = read_kept(kept)
    context = {
        "form": form,
        "kept": kept if kept_form else "",
        "kept_form": kept_form,
        # A form was sent and could not be kept; an own try at signing in carries no such loss.
        "lost": request.method == "POST" and not kept_form and not form.is_bound,
        "next": next_page(request) if request.method == "POST" or "next" in request.GET else "",
    }
    return render(request, template, context, status=status)
