"""How inventory.printing makes a PDF: A4, no clock, host or person beyond what the context brings.

WeasyPrint reads the sheets and fonts below config/static and nothing else: no network, no other file of the machine.
What a paper shows comes in its context; pictures are SVG within the page.
"""

import re
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

from inventory.pdf_pictures import PAIR, Pictures

STATIC = Path(settings.BASE_DIR, "config", "static").resolve()
MAY_READ = {".css": "text/css", ".woff2": "font/woff2"}
SHEETS = ("fonts-print", "pictures", "print")
LINK = re.compile(r'<link rel="stylesheet" href="css/([\w-]+)\.css">')
TOKEN = re.compile(r"var\((--[\w-]+)\)")

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
    kept = _house_style()
    page = render_to_string(template, context)
    # A sheet that a paper links is parsed once and kept, as are the house's own; it has the last word, as on a page.
    sheets = [CSS(string=style, font_config=kept.fonts, url_fetcher=FETCHER)] if style else []
    sheets += [kept.sheet(name) for name in (*SHEETS, *LINK.findall(page))]
    page = PAIR.sub(kept.pictures.put, LINK.sub("", page))
    html = HTML(string=page, base_url=STATIC.as_uri() + "/", url_fetcher=FETCHER)
    return html.write_pdf(
        stylesheets=sheets, font_config=kept.fonts, pdf_variant=variant, cache=dict(kept.pictures.drawn)
    )


class _Style:
    """Fonts, parsed sheets and pictures of one thread."""

    def __init__(self) -> None:
        self.fonts = FontConfiguration()
        self.pictures = Pictures(FETCHER)
        self._sheets: dict[str, CSS] = {}

    def sheet(self, name: str) -> CSS:
        """A sheet below css/, its tokens written out: looking a variable up costs time with every element."""
        if name not in self._sheets:
            path = STATIC / "css" / f"{name}.css"
            self._sheets[name] = CSS(
                string=TOKEN.sub(lambda found: _tokens()[found[1]], _bytes_of(path).decode()),
                base_url=path.as_uri(),
                font_config=self.fonts,
                url_fetcher=FETCHER,
            )
        return self._sheets[name]


def _house_style() -> _Style:
    if not hasattr(_kept, "style"):
        _kept.style = _Style()
    return _kept.style


@cache
def _tokens() -> dict[str, str]:
    return dict(re.findall(r"(--[\w-]+):\s*([^;]+);", _bytes_of(STATIC / "css" / "tokens.css").decode()))


@cache
def _bytes_of(path: Path) -> bytes:
    return path.read_bytes()
