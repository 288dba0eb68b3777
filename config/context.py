"""What every page gets: the rail's places for the person signed in."""

from django.conf import settings

from config.roles import PLACES, QUIET_PLACES, works_as


def rail(request):
    """`rail`: the places this person works in, as dicts with label, name, quiet; `is_demo` for the base template."""
    person = getattr(request, "user", None)
    if person is None or not person.is_authenticated:
        return {"rail": [], "is_demo": settings.IS_DEMO}
    places = [
        {"label": label, "name": name, "quiet": name in QUIET_PLACES}
        for label, name, roles in PLACES
        if works_as(person, *roles)
    ]
    return {"rail": places, "is_demo": settings.IS_DEMO}
