"""A form that came too late comes back filled."""

from django.shortcuts import render

from config.kept_form import KeptForm


def show_kept(request, form: KeptForm, *, status: int):
    """What was typed, and one button that sends it again."""
    return render(request, "config/kept_form.html", {"kept_form": form}, status=status)
