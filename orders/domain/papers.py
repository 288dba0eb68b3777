"""Issued paper: number and frozen content are one transaction; the PDF is made from that content alone, once.

A failed rendering loses nothing: number and content stand, and the next time the paper is opened it is tried again.
"""

import hashlib
import json
import logging
from collections.abc import Iterable, Sequence

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.pdf_press import print_many
from inventory.printing import render_pdf
from orders.domain.numbers import take_number
from orders.domain.periods import refuse_closed
from orders.models import Paper, PaperCancellation, PaperFile
from orders.models.paper import (
    ACKNOWLEDGEMENT,
    CREDIT_NOTE,
    DELIVERY_NOTE,
    INVOICE,
    LATE_CHARGE,
    PACKING_SLIP,
    PRO_FORMA,
    REMINDER,
    SECONDS_LIST,
    STATEMENT,
)

TEMPLATES = {
    DELIVERY_NOTE: "print/delivery_note.html",
    PACKING_SLIP: "print/packing_slip.html",
    INVOICE: "print/invoice.html",
    STATEMENT: "print/statement.html",
    REMINDER: "print/reminder.html",
    LATE_CHARGE: "print/late_charge.html",
    CREDIT_NOTE: "print/credit_note.html",
    PRO_FORMA: "print/invoice.html",
    ACKNOWLEDGEMENT: "print/acknowledgement.html",
    SECONDS_LIST: "print/seconds_list.html",
}
MANY = 40  # papers, from which on starting two processes is repaid
DATED = (INVOICE, CREDIT_NOTE, LATE_CHARGE)  # papers that stand in the books by their date
# Invoices frozen before their content had a shape are printed as they were then.
OLD_INVOICE = "print/invoice_of_old.html"
log = logging.getLogger(__name__)


class PaperNotRendered(Exception):
    """The PDF could not be made this time. Number and content are safe; opening the paper again tries again."""


class PaperDamaged(Exception):
    """What is stored no longer fits its digest: somebody went behind the book's back."""


def digest_of(content: dict) -> str:
    """SHA-256 (hex) over the canonical JSON of a paper's content: keys sorted, no spaces, UTF-8.

    TypeError for anything that does not come back from both databases as it went in (floats, dates, Decimals):
    content holds strings, whole numbers, true/false, null, lists and dicts.
    """
    _refuse_unstable(content)
    return digest_as_it_stands(content)


def digest_as_it_stands(content: dict) -> str:
    """digest_of without its refusals: of content that came out of the book, whatever it holds by now."""
    canonical = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(canonical.encode()).hexdigest()


def _refuse_unstable(value) -> None:
    if isinstance(value, dict):
        for key, inner in value.items():
            if not isinstance(key, str):
                raise TypeError(f"a paper's content has text for keys, not {key!r}")
            _refuse_unstable(inner)
    elif isinstance(value, list):
        for inner in value:
            _refuse_unstable(inner)
    elif not (value is None or type(value) in (str, int, bool)):
        raise TypeError(f"a paper's content holds text and whole numbers, not {value!r}")


@transaction.atomic
def issue_paper(
    *, kind: str, shop, content: dict, issued_on, by, series: str | None = None, number: str | None = None
) -> Paper:
    """Issue a paper under the next number of `series`, or under `number` where it is numbered after another paper.

    The number is put into the content as "number" before it is frozen. Runs inside the caller's transaction, so
    a closing that fails gives its number back. ValueError unless exactly one of series and number is given;
    ValidationError where the books are closed for that day.
    """
    if kind not in TEMPLATES:
        raise ValueError(f"no such kind of paper: {kind}")
    if (series is None) == (number is None):
        raise ValueError("a paper takes either the next number of a series or a number of its own")
    running = None
    if kind in DATED:
        refuse_closed(issued_on, "issued_on")
    if series is not None:
        running, number = take_number(series)
    content = {**content, "number": number}
    paper = _frozen(kind, shop, content, issued_on, by)
    paper.running = running
    paper.save()
    return paper


def issue_numbered(*, kind: str, shop, contents: Iterable[tuple[str, dict]], issued_on, by) -> list[Paper]:
    """Issue papers numbered after another one, (number, content) each, as issue_paper does. Needs a transaction."""
    papers = [_frozen(kind, shop, {**content, "number": number}, issued_on, by) for number, content in contents]
    return Paper.objects.bulk_create(papers)


def _frozen(kind: str, shop, content: dict, issued_on, by) -> Paper:
    return Paper(
        kind=kind,
        number=content["number"],
        shop=shop,
        content=content,
        content_sha256=digest_of(content),
        issued_on=issued_on,
        issued_at=timezone.now(),
        issued_by=by,
    )


@transaction.atomic
def cancel_paper(*, paper: Paper, reason: str, by) -> PaperCancellation:
    """Keep the paper's number as cancelled; the paper and its stored PDF stay as they are. Cancelled twice is once.

    The row says who and when; the caller puts the wider story (what became of the boxes) on record.
    """
    reason = reason.strip()
    if not reason or len(reason) > 200:
        raise ValidationError({"reason": "Say why, in at most 200 characters."})
    paper = Paper.objects.select_for_update().get(pk=paper.pk)
    return PaperCancellation.objects.get_or_create(
        paper=paper, defaults={"reason": reason, "at": timezone.now(), "by": by}
    )[0]


def paper_pdf(paper: Paper) -> bytes:
    """The paper's PDF: the stored bytes, made from the frozen content and stored when it is opened first.

    PaperNotRendered where it could not be made this time; PaperDamaged where content or bytes no longer fit
    their digest. Two who open it at once get the same bytes: the first to store wins.
    """
    stored = PaperFile.objects.filter(paper=paper).first()
    if stored is None:
        stored = _store(paper, _render(paper))
    pdf = bytes(stored.pdf)
    if hashlib.sha256(pdf).hexdigest() != stored.sha256:
        raise PaperDamaged(f"The stored PDF of {paper.number} does not fit its digest.")
    return pdf


def paper_pdfs(papers: Sequence[Paper]) -> list[bytes]:
    """The PDFs of all these papers, in their order; where many are not made yet, two processes make them.

    Otherwise as `paper_pdf`.
    """
    there = set(PaperFile.objects.filter(paper__in=papers).values_list("paper", flat=True))
    missing = [paper for paper in papers if paper.pk not in there]
    if len(missing) >= MANY:
        for paper in missing:
            _check_content(paper)
        made = print_many([(_template(paper), {"paper": paper.content}) for paper in missing])
        for paper, pdf in zip(missing, made, strict=True):
            if pdf:
                _store(paper, pdf)
    return [paper_pdf(paper) for paper in papers]


def _check_content(paper: Paper) -> None:
    if digest_of(paper.content) != paper.content_sha256:
        raise PaperDamaged(f"The content of {paper.number} does not fit its digest.")


def _render(paper: Paper) -> bytes:
    _check_content(paper)
    try:
        return render_pdf(_template(paper), {"paper": paper.content})
    except Exception as error:
        log.exception("rendering %s failed", paper.number)
        raise PaperNotRendered(
            f"The PDF of {paper.number} could not be made; its number and content are safe."
        ) from error


def _template(paper: Paper) -> str:
    return OLD_INVOICE if paper.kind == INVOICE and "shape" not in paper.content else TEMPLATES[paper.kind]


@transaction.atomic
def _store(paper: Paper, pdf: bytes) -> PaperFile:
    # Locked, so that a second opener waits and then finds the first one's bytes.
    Paper.objects.select_for_update().get(pk=paper.pk)
    digest = hashlib.sha256(pdf).hexdigest()
    return PaperFile.objects.get_or_create(
        paper=paper, defaults={"pdf": pdf, "sha256": digest, "rendered_at": timezone.now()}
    )[0]
