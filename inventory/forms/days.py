"""Days that are asked for."""

from django import forms

YEARS = (1900, 2999)


def check_years(form: forms.Form, *names: str) -> None:
    """An error beside each of the named days that lies where the calendar of a computer begins or ends: what is
    reckoned from it, such as the day after, would lie beyond.
    """
    for name in names:
        day = form.cleaned_data.get(name)
        if day and not YEARS[0] <= day.year <= YEARS[1]:
            form.add_error(name, f"Choose a day of the years {YEARS[0]} to {YEARS[1]}.")
