"""The page was older than the last sign-in in this browser, or its cookie is gone: the form comes back filled."""

from django.contrib.auth.decorators import login_not_required
from django.shortcuts import render
from django.urls import reverse
from django.views.csrf import csrf_failure

from config.kept_form import keep_post, read_kept
from config.views.kept_form import show_kept
from config.views.sign_in import show_password_page, show_sign_in_page


@login_not_required
def csrf_failed(request, reason=""):
    if request.htmx:
        return _stay_on_page(request)
    if request.path == reverse("sign_in"):
        return show_sign_in_page(request, request.POST.get("kept", ""))
    if not request.user.is_authenticated:
        return show_sign_in_page(request, keep_post(request))
    if request.path == reverse("give_password"):
        return show_password_page(request, request.POST.get("kept", ""))
    if form := read_kept(keep_post(request)):
        return show_kept(request, form, status=403)
    return csrf_failure(request, reason, template_name="403_csrf.html")


def _stay_on_page(request):
    """For a part of a page: what was typed stays where it is; saving the page brings it back to be sent again."""
    response = render(request, "config/old_page_part.html")
    response["HX-Retarget"], response["HX-Reswap"] = "#messages", "innerHTML"
    return response
