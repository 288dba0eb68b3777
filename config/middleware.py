"""What stands before every page: the headers, and the question who is there."""

from urllib.parse import urlsplit

from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.http import Http404
from django.shortcuts import render, resolve_url

from config.device import is_alive, wants_password
from config.kept_form import keep_post
from config.views.health import health
from config.views.sign_in import show_password_page, show_sign_in_page

HEADERS = {
    # A book of orders needs none of the device's senses.
    "Permissions-Policy": ", ".join(
        f"{sense}=()"
        for sense in ("camera", "display-capture", "geolocation", "microphone", "payment", "serial", "usb")
    ),
    "Cross-Origin-Resource-Policy": "same-origin",
    # Not no-store: that would take what was typed from the back button.
    "Cache-Control": "private, no-cache",
}
# Pages of people and bank details: whoever holds a handed-over device gives the password first.
BEHIND_PASSWORD = frozenset(
    ("people", "person_new", "person", "set_password", "set_pin", "lift_lock", "person_leaves", "person_returns")
) | {"workshop"}


# SQLite is not even asked for a larger one: its driver falls over it.
LARGEST_KEY = 2**63 - 1


class HeadersMiddleware:
    """Adds the headers Django has no setting for, unless the view set its own."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        response = self.get_response(request)
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        if response.headers.get("Content-Type", "").startswith("application/pdf"):
            # The policy is for pages. Chromium would hold it against its own PDF viewer's embed and inline style.
            response._csp_exempt = True
        return response


class HealthMiddleware:
    """Answers the health check before the host is looked at: a load balancer asks by the server's bare address."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return health(request) if request.path == "/health/" else self.get_response(request)


class SignedInMiddleware(LoginRequiredMiddleware):
    """Every page needs a person, unless it says otherwise. What was typed into a form survives the question."""

    def process_view(self, request, view_func, view_args, view_kwargs):
        if any(isinstance(value, int) and value > LARGEST_KEY for value in view_kwargs.values()):
            raise Http404("No row has so large a number.")
        if request.user.is_authenticated and not is_alive(request):
            logout(request)
            messages.warning(request, "This device is no longer signed in: somebody has to give a password.")
        if refused := super().process_view(request, view_func, view_args, view_kwargs):
            return refused
        if request.user.is_authenticated and request.resolver_match.url_name in BEHIND_PASSWORD:
            return self.ask_password(request)
        return None

    def ask_password(self, request):
        """The page that asks for the password again, or None where that was given."""
        if not (request.user.owner and wants_password(request)):
            return None
        if request.method == "POST":
            return show_password_page(request, keep_post(request))
        return redirect_to_login(request.get_full_path(), resolve_url("give_password"))

    def handle_no_permission(self, request, view_func):
        if request.htmx:
            return _say_signed_out(request)
        if request.method == "POST":
            return show_sign_in_page(request, keep_post(request))
        return super().handle_no_permission(request, view_func)


def _say_signed_out(request):
    """For a part of a page: the page stays as it is, with what was typed, and says why nothing comes."""
    page = urlsplit(request.htmx.current_url or "").path or "/"
    response = render(request, "config/signed_out_part.html", {"page": page})
    response["HX-Retarget"], response["HX-Reswap"] = "#messages", "innerHTML"
    return response
