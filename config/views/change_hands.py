"""A shared tablet goes from hand to hand by name and PIN."""

from django.contrib import messages
from django.contrib.auth import authenticate
from django.shortcuts import redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from config.device import hand_over
from config.forms import ChangeHandsForm
from config.views.sign_in import next_page, status_of, why_not


@sensitive_post_parameters("pin")
@require_http_methods(["GET", "POST"])
def change_hands(request):
    form = ChangeHandsForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        chosen = form.cleaned_data["person"]
        person = authenticate(request, username=chosen.username, secret_pin=form.cleaned_data["pin"])
        if person:
            hand_over(request, person)
            messages.success(request, f"{person.full_name} has it in hand now.")
            return redirect(next_page(request))
        form.add_error("pin", why_not(request, f"This is not the PIN of {chosen.full_name}."))
    status = status_of(request) if form.is_bound else 200
    return render(request, "config/change_hands.html", {"form": form}, status=status)
