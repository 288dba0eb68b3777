"""How inventory.printing makes a PDF: A4, no clock, host or person beyond what the context brings.

WeasyPrint reads the sheets and fonts below config/static and nothing else: no network, no other file of the machine.
What a paper shows comes in its context; pictures are SVG within the page.
"""

from functools import cache
from pathlib import Path
from threading import local
from urllib.parse import unquote, urlsplit
from urllib.request import url2pathname

from django.conf import settings
from django.template.loader import render_to_string
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher, URLFetcherResponse

STATIC = Path(settings.BASE_DIR, "config", "static").resolve()
MAY_READ = {".css": "text/css", ".woff2": "font/woff2"}
SHEETS = ("tokens", "fonts-print", "pictures", "print")

# Pango's font map may be used by one thread at a time, so each thread keeps its own fonts and parsed sheets.
_kept = local()


class RefusedAddress(ValueError):
    """A paper asked for something outside the sheets and fonts."""


class HouseFetcher(URLFetcher):
    """Opens sheets and fonts below config/static. WeasyPrint logs a refusal and prints on without the thing."""

    def fetch(self, url, headers=None) -> URLFetcherResponse:
        """Raises RefusedAddress for every address but a file: of the house."""
        parts = urlsplit(url)
        if parts.scheme != "file" or parts.netloc not in ("", "localhost"):
            raise RefusedAddress(f"paper reads no {parts.scheme or 'relative'} addresses: {url[:80]}")
        # resolve() follows links and "..", so what is opened is what was checked.
        path = Path(url2pathname(unquote(parts.path))).resolve()
        if not path.is_relative_to(STATIC) or path.suffix not in MAY_READ or not path.is_file():
            raise RefusedAddress(f"paper reads sheets and fonts of the house only: {url[:80]}")
        return URLFetcherResponse(url, body=_bytes_of(path), headers={"Content-Type": MAY_READ[path.suffix]})


FETCHER = HouseFetcher()


def make_pdf(template: str, context: dict, *, variant: str | None, style: str) -> bytes:
    """See inventory.printing.render_pdf."""
    fonts, sheets = _house_style()
    if style:
        sheets = [*sheets, CSS(string=style, font_config=fonts, url_fetcher=FETCHER)]
    page = HTML(string=render_to_string(template, context), base_url=STATIC.as_uri() + "/", url_fetcher=FETCHER)
    return page.write_pdf(stylesheets=sheets, font_config=fonts, pdf_variant=variant)


def _house_style() -> tuple[FontConfiguration, list[CSS]]:
    if not hasattr(_kept, "style"):
        fonts = FontConfiguration()
        sheets = [
            CSS(filename=STATIC / "css" / f"{name}.css", font_config=fonts, url_fetcher=FETCHER) for name in SHEETS
        ]
        _kept.style = fonts, sheets
    return _kept.style


@cache
def _bytes_of(path: Path) -> bytes:
    return path.read_bytes()
