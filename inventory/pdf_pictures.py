"""The pairs on a paper: each drawn once, then repeated wherever it stands again.

A paper has a pair in every row, and the same few dozen come back on every paper. Out of the page they are quicker to
read, to style and to lay out (they are five elements each); what they draw is kept as the PDF's own marks.
"""

import re
from hashlib import sha256
from xml.etree import ElementTree

import pydyf
from weasyprint.images import SVGImage

PAIR = re.compile(r'<svg class="pair" .*?</svg>', re.DOTALL)
MOST_KEPT = 500  # a catalogue of a few hundred candles, firsts and seconds


class Pictures:
    """Pictures of one thread by the address that stands for them in a page: nothing is ever fetched by it."""

    def __init__(self, fetcher) -> None:
        self.drawn: dict[str, Picture] = {}
        self._fetcher = fetcher

    def put(self, found: re.Match) -> str:
        """An image in place of the inline SVG."""
        svg = found[0]
        address = f"pair:{sha256(svg.encode()).hexdigest()}"
        if address not in self.drawn:
            if len(self.drawn) >= MOST_KEPT:
                self.drawn.clear()
            # What draw_pair wrote: no entity, nothing a person typed but escaped words.
            self.drawn[address] = Picture(ElementTree.fromstring(svg), address, self._fetcher, None)  # noqa: S314
        return f'<img class="pair" src="{address}" alt="">'


class Picture(SVGImage):
    """An SVG whose marks for a size are kept. They hold paths and plain colours only, so they fit any page."""

    def __init__(self, *args) -> None:
        super().__init__(*args)
        self._marks: dict[tuple[float, float], tuple[list, dict]] = {}

    def draw(self, stream, concrete_width, concrete_height, style) -> None:
        size = concrete_width, concrete_height
        if size not in self._marks:
            # On a stream of its own: what was drawn before on the page must not change the marks.
            states = pydyf.Dictionary()
            own = stream.clone(resources={**stream._resources, "ExtGState": states})
            super().draw(own, concrete_width, concrete_height, style)
            self._marks[size] = own.stream, states
        marks, states = self._marks[size]
        stream._resources["ExtGState"].update(states)
        stream.stream.extend(marks)
