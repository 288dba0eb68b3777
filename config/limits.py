"""How much one request may carry. Django bounds a form's fields; a file it would write to the disk however long."""

from django.conf import settings
from django.shortcuts import render


class BodyLimitMiddleware:
    """Refuses a body that says it is longer than UPLOAD_MAX_BYTES before a byte of it is read, signed in or not.

    A body that does not say how long it is (sent in chunks) is never read at all.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        if _length(request) <= settings.UPLOAD_MAX_BYTES:
            return self.get_response(request)
        return render(request, "413.html", {"most": settings.UPLOAD_MAX_BYTES // 1_000_000}, status=413)


def _length(request) -> int:
    said = request.META.get("CONTENT_LENGTH") or ""
    # Python refuses to read numbers of thousands of digits; what is no number at all Django takes for none.
    return int(said[:20]) if said.isascii() and said.isdigit() else 0
