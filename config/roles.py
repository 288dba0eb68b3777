"""Who works where. Imports nothing of the house, so every app may use it."""

from functools import wraps

from django.core.exceptions import PermissionDenied

ROLES = ("owner", "dipper", "packer", "bookkeeper")

# The rail, in its order: label, URL name, who works there. A place joins the rail when it is built.
PLACES = (
    ("Today", "today", ROLES),
    ("Order book", "order_book", ("owner", "packer", "bookkeeper")),
    ("Dip list", "dip_list", ("owner", "dipper")),
    ("Floor", "floor", ("owner", "dipper")),
    ("Stockroom", "stockroom", ("owner", "dipper", "packer")),
    ("Seconds shelf", "seconds_shelf", ("owner", "packer")),
    ("Packing bench", "packing_bench", ("owner", "packer")),
    ("Ledger", "ledger", ("owner", "bookkeeper")),
    ("Shops", "shops", ("owner", "packer", "bookkeeper")),
    ("Season", "season", ("owner",)),
    ("Set-up", "set_up", ("owner",)),
)
# A rule is drawn in the rail above these: the places one visits seldom.
QUIET_PLACES = ("shops", "season", "set_up")


def works_as(person, *roles: str) -> bool:
    """Whether the person has one of the roles; the owner may do everything."""
    return person.is_authenticated and (person.owner or any(getattr(person, role) for role in roles))


def for_roles(*roles: str):
    """View decorator: 403 for a signed-in person without one of the roles. Owners always pass."""
    unknown = set(roles) - set(ROLES)
    if unknown:
        raise ValueError(f"no such role: {unknown}")

    def decorate(view):
        @wraps(view)
        def wrapper(request, *args, **kwargs):
            if not works_as(request.user, *roles):
                raise PermissionDenied("This place belongs to: " + ", ".join(roles or ("owner",)))
            return view(request, *args, **kwargs)

        wrapper.roles = roles
        return wrapper

    return decorate
