"""A PDF as an answer."""

from hashlib import sha256

from django.http import HttpResponse
from django.utils.cache import get_conditional_response
from django.utils.text import slugify


def pdf_response(request, pdf: bytes, name: str) -> HttpResponse:
    """The bytes, shown in the browser; asked again with their digest they are not sent again."""
    etag = f'"{sha256(pdf).hexdigest()}"'
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{slugify(name.replace("/", "-"))}.pdf"'
    response["ETag"] = etag
    # Kept by the browser alone, and asked for each time: somebody else may sit at the tablet next.
    response["Cache-Control"] = "private, no-cache"
    return get_conditional_response(request, etag=etag, response=response)
