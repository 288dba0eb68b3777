"""A day's papers: a hundred delivery notes and packing slips, over as many bare documents with as many cells.

The bare documents are those of the baseline (facts/BASELINES.md, B1: its style, plain cells, system fonts, nothing
shared). "As many cells": every th and td of the paper has one, with the same text.
"""

import re
from collections.abc import Iterator
from random import Random
from time import perf_counter

from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.html import strip_tags
from weasyprint import HTML

from config.measure.book import made_book
from config.measure.busy_book import SEED, Busy, make_busy, take_orders
from config.measure.row import Row, tell, timed
from inventory.pdf_press import print_many
from inventory.printing import render_pdf
from orders.domain.packing import close_boxes, start_packing
from orders.domain.papers import TEMPLATES
from orders.domain.setting_aside import set_aside_book
from orders.models import Paper
from orders.models.paper import DELIVERY_NOTE, PACKING_SLIP

LINES, LOTS, ASKED = 1000, 1700, 100
OVER_BARE, FASTER = 1.3, 1.6
CELL = re.compile(r"<t[dh][^>]*>(.*?)</t[dh]>", re.DOTALL)
ROW = re.compile(r"<tr[^>]*>(.*?)</tr>", re.DOTALL)
STYLE = """
@page { size: A4; margin: 18mm 16mm; @bottom-right { content: counter(page) " / " counter(pages); font-size: 8pt } }
body { font: 9.5pt/1.35 'DejaVu Sans', sans-serif; color: #111 }
h1 { font-size: 16pt; margin: 0 0 4mm }
table { width: 100%; border-collapse: collapse }
th { text-align: left; border-bottom: .6pt solid #000; padding: 1mm 2mm; font-weight: bold }
td { border-bottom: .3pt solid #999; padding: 1mm 2mm }
"""


def rows(*, quick: bool = False) -> Iterator[Row]:
    lines, asked = (12, 2) if quick else (LINES, ASKED)
    with made_book():
        tell("a day's papers")
        _pack_all(make_busy(), lines, 4 * lines if quick else LOTS)
        papers = _some(asked)
    jobs = [(TEMPLATES[paper.kind], {"paper": paper.content}) for paper in papers]
    yield _over_bare(jobs, {kind: sum(paper.kind == kind for paper in papers) for kind in TEMPLATES})
    if not quick:
        yield _two_over_one(jobs)


def _pack_all(book: Busy, lines: int, lots: int) -> None:
    """Every order goes with one van, as far as stock covers it."""
    orders = take_orders(book, lines, lots=lots)
    set_aside_book(by=book.by)
    for order in orders:
        if any(line.set_aside for line in order.lines.all()):
            delivery = start_packing(order=order, van_day=timezone.localdate(), by=book.by)
            close_boxes(delivery=delivery, version=delivery.version, by=book.by)


def _some(asked: int) -> list[Paper]:
    """As many notes as slips, so many in all. ArithmeticError where the day has fewer."""
    found = []
    for kind in (DELIVERY_NOTE, PACKING_SLIP):
        found += Paper.objects.filter(kind=kind).order_by("pk")[: asked // 2]
    if len(found) < asked:
        raise ArithmeticError(f"only {len(found)} papers")
    Random(SEED).shuffle(found)  # noqa: S311 - the same each time
    return found


def _over_bare(jobs, kinds: dict[str, int]) -> Row:
    """In turns, so that a machine busy with something else slows both."""
    house = plain = 0.0
    cells, documents = 0, [bare_document(render_to_string(*job)) for job in jobs]
    render_pdf(*jobs[0])
    HTML(string=documents[0]).write_pdf()
    for (template, context), document in zip(jobs, documents, strict=True):
        tell(f"{template}")
        house += timed(render_pdf, template, context)[1]
        plain += timed(HTML(string=document).write_pdf)[1]
        cells += len(CELL.findall(document))
    of = ", ".join(f"{count} of {kind}" for kind, count in kinds.items() if count)
    said = f"{house:.1f} s, bare {plain:.1f} s of the processor; {of}; {cells:,} cells"
    return Row(f"{len(jobs)} papers over bare documents", house / plain, "times", aim=OVER_BARE, note=said)


def bare_document(page: str) -> str:
    """A document of the baseline with a cell for every cell of the page, row by row, and its text."""
    found = []
    for row in ROW.findall(page):
        texts = [" ".join(strip_tags(cell).split()) for cell in CELL.findall(row)]
        found.append("".join(f"<td>{text}</td>" for text in texts))
    table = "".join(f"<tr>{row}</tr>" for row in found)
    head = (
        f"<!doctype html><html lang=en><head><meta charset=utf-8><title>Document</title><style>{STYLE}</style></head>"
    )
    where = "<div>Sample Shop<br>12 Sample Street<br>AB1 2CD Sampletown</div>"
    return f"{head}<body><h1>Delivery note</h1>{where}<table>{table}</table><p>Checked by: ________</p></body></html>"


def _two_over_one(jobs) -> Row:
    """By the clock, starts of the processes included: the only way to see two cores at work."""
    took = {}
    for hands in (1, 2):
        tell(f"{len(jobs)} papers by {hands} of the press")
        began = perf_counter()
        if not all(print_many(jobs, hands=hands)):
            raise ArithmeticError("a paper could not be made")
        took[hands] = perf_counter() - began
    said = f"{took[1]:.1f} s by one, {took[2]:.1f} s by two, by the clock; an honest figure on an idle machine only"
    return Row("two processes over one", took[1] / took[2], "times faster", aim=FASTER, at_least=True, note=said)
