"""A form that came too late is carried along, signed, until it can be sent again. Nothing is stored on the way.

Only a form from one of our own pages is kept: anybody else's would put words into somebody's mouth.
"""

import re
from dataclasses import dataclass
from urllib.parse import urlsplit

from django.conf import settings
from django.core import signing
from django.http import HttpRequest
from django.http.request import UnreadablePostError
from django.utils.http import escape_leading_slashes

SALT = "wickturn.kept_form"
# Signed, packed and back in a form, it must stay well below DATA_UPLOAD_MAX_MEMORY_SIZE.
MOST_CHARACTERS = 1_000_000
# A form left open over a long weekend still comes back.
OLDEST_SECONDS = 5 * 24 * 60 * 60
SECRET = re.compile(r"(^|[_-])(password\d?|pin)($|[_-])", re.IGNORECASE)
NEVER_KEPT = {"csrfmiddlewaretoken", "kept"}


@dataclass(frozen=True)
class KeptForm:
    """A post to one of our pages: its path with query, its fields as (name, values); no files, no secrets."""

    path: str
    fields: list[tuple[str, list[str]]]

    @property
    def pairs(self) -> list[tuple[str, str]]:
        return [(name, value) for name, values in self.fields for value in values]

    @property
    def typed(self) -> list[tuple[str, str]]:
        """What a person would call the contents: (field in words, value), without blanks."""
        return [(re.sub(r"[_-]+", " ", name), value) for name, value in self.pairs if value.strip()]


def keep_post(request: HttpRequest) -> str:
    """The post as one signed word for a hidden field; "" where it is not ours, holds nothing or is too long."""
    if request.method != "POST" or not came_from_here(request):
        return ""
    try:
        fields = [
            (name, values)
            for name, values in request.POST.lists()
            if name not in NEVER_KEPT and not SECRET.search(name)
        ]
    except UnreadablePostError:
        return ""
    if sum(len(value) for _, values in fields for value in values) > MOST_CHARACTERS:
        return ""
    # A path that begins with two slashes is a host to a browser.
    path = escape_leading_slashes(request.get_full_path())
    kept = signing.dumps([path, fields], salt=SALT, compress=True)
    return kept if len(kept) <= MOST_CHARACTERS else ""


def read_kept(word: str) -> KeptForm | None:
    """What `keep_post` made, or None for anything else: forged, too old, from before the key changed."""
    try:
        path, fields = signing.loads(word, salt=SALT, max_age=OLDEST_SECONDS)
    except (signing.BadSignature, ValueError, TypeError):
        return None
    return KeptForm(path, [(name, values) for name, values in fields])


def came_from_here(request: HttpRequest) -> bool:
    """Whether the browser says that one of our own pages made this post."""
    said = request.META.get("HTTP_ORIGIN") or request.META.get("HTTP_REFERER") or ""
    try:
        parts = urlsplit(said)
    except ValueError:
        return False
    origin = f"{parts.scheme}://{parts.netloc}"
    return origin == f"{request.scheme}://{request.get_host()}" or origin in settings.CSRF_TRUSTED_ORIGINS
