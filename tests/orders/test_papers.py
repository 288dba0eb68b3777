"""Issued papers: frozen content, numbers without a gap, the PDF stored once, and what is printed on it."""

import hashlib
from io import BytesIO

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, transaction
from django.utils import timezone
from pypdf import PdfReader

from orders.documents.van_sheet import day_papers_pdf, papers_of_delivery
from orders.domain import papers
from orders.domain.packing import unpack
from orders.domain.papers import (
    PaperDamaged,
    PaperNotRendered,
    cancel_paper,
    digest_of,
    issue_paper,
    paper_pdf,
    paper_pdfs,
)
from orders.domain.setting_aside import set_aside_order
from orders.models import Paper, PaperCancellation, PaperFile, Series
from orders.queries.packing import papers_of_van
from tests.factories import make_lot, make_person, make_shop, make_workshop
from tests.factories.bench import make_packed, make_ready_order

pytestmark = pytest.mark.django_db


@pytest.fixture
def packer():
    return make_person("packer", full_name="Ada Tallow")


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages).split())


def pages_of(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(pdf)).pages]


def issue(by, content=None, **fields):
    values = {"kind": "delivery note", "series": "delivery note", **fields}
    return issue_paper(
        shop=make_shop(), content=content or {"pairs": 3}, issued_on=timezone.localdate(), by=by, **values
    )


# Content and numbers


def test_number_and_content_are_frozen_together(packer):
    paper = issue(packer)
    assert (paper.number, paper.running) == ("DN-1001", 1001)
    assert paper.content == {"pairs": 3, "number": "DN-1001"}
    assert paper.content_sha256 == hashlib.sha256(b'{"number":"DN-1001","pairs":3}').hexdigest()


def test_numbers_run_on_and_a_failed_transaction_gives_its_number_back(packer):
    issue(packer)
    with pytest.raises(TypeError), transaction.atomic():
        issue_paper(
            kind="delivery note", shop=make_shop(), content={"kg": 1.5}, issued_on=timezone.localdate(), by=packer,
            series="delivery note",
        )  # fmt: skip
    assert issue(packer).number == "DN-1002"


def test_the_digest_does_not_hang_on_the_order_of_keys():
    assert digest_of({"a": 1, "b": ["x", None, True]}) == digest_of({"b": ["x", None, True], "a": 1})
    assert digest_of({"a": 1}) != digest_of({"a": "1"})


@pytest.mark.parametrize("value", [1.5, timezone.now(), {1: "x"}, {"deep": [2.0]}, b"x"])
def test_what_would_not_come_back_as_it_went_in_is_refused(value):
    with pytest.raises(TypeError):
        digest_of({"value": value})


@pytest.mark.parametrize("fields", [{"series": None}, {"number": "X-1"}, {"kind": "letter"}])
def test_a_paper_has_one_source_of_its_number_and_a_known_kind(packer, fields):
    with pytest.raises(ValueError, match=r"paper"):
        issue(packer, **fields)
    assert Series.objects.get(name="delivery note").next == 1001


def test_issued_paper_cannot_be_changed_or_deleted(packer):
    paper = issue(packer)
    for act in (
        lambda: Paper.objects.filter(pk=paper.pk).update(number="DN-9"),
        lambda: Paper.objects.filter(pk=paper.pk).delete(),
    ):
        with pytest.raises(DatabaseError), transaction.atomic():
            act()


# The PDF


def test_the_pdf_is_made_once_and_reprints_are_the_stored_bytes(packer, monkeypatch):
    paper = make_packed(packer).note
    first = paper_pdf(paper)
    monkeypatch.setattr(papers, "render_pdf", lambda *_: pytest.fail("rendered again"))
    assert paper_pdf(Paper.objects.get(pk=paper.pk)) == first
    assert PaperFile.objects.get(paper=paper).sha256 == hashlib.sha256(first).hexdigest()


def test_a_failed_rendering_is_told_loses_nothing_and_is_tried_again(packer, monkeypatch):
    paper = make_packed(packer).note

    def broken(*_):
        raise OSError("no room left")

    with monkeypatch.context() as patch:
        patch.setattr(papers, "render_pdf", broken)
        with pytest.raises(PaperNotRendered, match="DN-1001 could not be made"):
            paper_pdf(paper)
    assert not PaperFile.objects.exists()
    assert paper_pdf(paper).startswith(b"%PDF")


def test_who_stores_second_serves_the_first_ones_bytes(packer, monkeypatch):
    paper = make_packed(packer).note

    def slow(template, context):
        # Somebody else opens it while this one renders.
        PaperFile.objects.create(
            paper=paper,
            pdf=b"%PDF first",
            sha256=hashlib.sha256(b"%PDF first").hexdigest(),
            rendered_at=timezone.now(),
        )
        return b"%PDF second"

    monkeypatch.setattr(papers, "render_pdf", slow)
    assert paper_pdf(paper) == b"%PDF first"


def test_bytes_and_content_that_do_not_fit_their_digest_are_not_served(packer):
    paper = make_packed(packer).note
    damaged = Paper.objects.get(pk=paper.pk)
    damaged.content["pairs"] = 999
    with pytest.raises(PaperDamaged, match="content of DN-1001"):
        paper_pdf(damaged)
    PaperFile.objects.create(paper=paper, pdf=b"%PDF", sha256="0" * 64, rendered_at=timezone.now())
    with pytest.raises(PaperDamaged, match="stored PDF of DN-1001"):
        paper_pdf(paper)


def test_a_cancelled_paper_keeps_its_bytes(packer):
    paper = make_packed(packer).note
    before = paper_pdf(paper)
    cancel_paper(paper=paper, reason="wrong boxes", by=packer)
    cancel_paper(paper=paper, reason="again", by=packer)
    assert paper_pdf(paper) == before
    assert PaperCancellation.objects.get().reason == "wrong boxes"


@pytest.mark.parametrize("reason", ["", "   ", "x" * 201])
def test_a_cancellation_says_why_in_a_line(packer, reason):
    with pytest.raises(ValidationError, match="Say why"):
        cancel_paper(paper=issue(packer), reason=reason, by=packer)


# What is printed


def test_the_note_says_what_goes_in_which_boxes_from_which_lots_without_prices(packer):
    shop = make_shop(name="The Lamp Room", town="Wexcombe", reference_required=True)
    order = make_ready_order(packer, lines=(30, 12), lots=[(20, 10), (12,)], shop=shop, reference="XM-0713")
    note = make_packed(packer, order).note
    text = text_of(paper_pdf(note))
    for words in (
        "Delivery note DN-1001", "The Lamp Room", "4 Tanner Row", "XM-0713", f"{order.number} of",
        "Tallow Lane Candles", "42 pairs in 2 boxes", "With this delivery your order is complete", "1 of 2", "2 of 2",
        "Keep these candles cool", "Received",
    ):  # fmt: skip
        assert words in text
    for line in note.content["lines"]:
        assert line["code"] in text
        for lot in line["lots"]:
            assert f"{lot['code']}: {lot['pairs']}" in text
    for word in ("£", "Price", "VAT", "2.20"):
        assert word not in text


def test_weights_are_reckoned_from_the_candle_and_add_up_by_hand(packer):
    note = make_packed(packer, lines=(30,)).note
    # A pair of 250 x 22/16 mm paraffin (0.900 g/cm3) weighs 2 x 64.28 g by the frustum: 24 weigh 3.0854, 6 0.7714 kg.
    assert [box["net_kg"] for box in note.content["boxes"]] == ["3.09", "0.77"]
    assert [box["gross_kg"] for box in note.content["boxes"]] == ["3.34", "1.02"]
    assert (note.content["net_kg"], note.content["gross_kg"]) == ("3.86", "4.36")


def test_a_part_delivery_says_what_is_still_to_come(packer):
    note = make_packed(packer, make_ready_order(packer, lines=(30,), lots=[(20,)])).note
    text = text_of(paper_pdf(note))
    assert "This is a part delivery: 10 pairs of your order follow" in text
    assert "complete" not in text


def test_seconds_are_marked_on_note_and_slip(packer):
    delivery = make_packed(packer, make_ready_order(packer, lines=(6,), grade="seconds"))
    assert "All pairs on this note are seconds" in text_of(paper_pdf(delivery.note))
    assert "Seconds" in text_of(paper_pdf(delivery.boxes.get().slip))
    firsts = make_packed(packer)
    assert "econds" not in text_of(paper_pdf(firsts.note))


def test_a_slip_says_what_lies_in_its_box(packer):
    delivery = make_packed(packer, lines=(30,))
    slip = delivery.boxes.get(number=2).slip
    text = text_of(paper_pdf(slip))
    lot = delivery.lines.get().lot.code
    for words in ("DN-1001/2", "Box 2 of 2", lot, "Pairs in this box 6", "0.77 kg net, 1.02 kg with the box"):
        assert words in text


def test_papers_keep_the_house_and_the_shop_as_they_stood(packer):
    delivery = make_packed(packer)
    make_workshop(name="Renamed Candles")
    delivery.order.shop.name = "Renamed Shop"
    delivery.order.shop.save()
    text = text_of(paper_pdf(delivery.note))
    assert "Tallow Lane Candles" in text
    assert "Renamed" not in text


def test_a_note_of_ninety_lines_repeats_its_head_and_leaves_no_orphan(packer):
    note = make_packed(packer, make_ready_order(packer, lines=(6,) * 90)).note
    pages = pages_of(paper_pdf(note))
    assert len(pages) >= 3
    for number, page in enumerate(pages, start=1):
        assert "Delivery note DN-1001," in page
        assert f"Page {number} of {len(pages)}" in page
    lines = [page for page in pages if any(line["code"] in page for line in note.content["lines"])]
    assert all("Code Candle Lots Ordered Pairs" in page for page in lines)
    assert all(any(line["code"] in page for page in pages) for line in note.content["lines"])
    # A sum and a signature always have rows above them on their page.
    total = next(page for page in pages if "Pairs in this delivery 540" in page)
    assert sum(line["code"] in total for line in note.content["lines"]) >= 2
    assert " of " in pages[-1].split("Received")[0]
    assert len(pages[-1].split("Received")[0]) > 200


# The day's batch


def test_the_days_batch_holds_every_note_and_slip_in_packing_order(packer):
    first, second = make_packed(packer, lines=(30,)), make_packed(packer, lines=(6,))
    void = make_packed(packer)
    unpack(delivery=void, version=void.version, reason="wrong", by=packer)
    deliveries = papers_of_van(first.van_day)
    assert deliveries == [first, second]
    pages = pages_of(day_papers_pdf(deliveries, van_day="4 December 2026"))
    heads = ["2 deliveries for the van of", "Delivery note DN-1001", "DN-1001/1", "DN-1001/2", "DN-1002", "DN-1002/1"]
    assert len(pages) == len(heads)
    assert all(head in page for head, page in zip(heads, pages, strict=True))
    assert "3 boxes, 36 pairs" in pages[0]
    # The batch is made of the stored papers: each is stored once and the same bytes serve it singly.
    assert PaperFile.objects.count() == 5


def test_many_papers_are_made_by_the_press_and_what_it_leaves_by_the_house(packer, monkeypatch):
    delivery = make_packed(packer, lines=(30,))
    papers = papers_of_delivery(papers_of_van(delivery.van_day)[0])
    asked = []
    monkeypatch.setattr("orders.domain.papers.MANY", len(papers))
    monkeypatch.setattr("orders.domain.papers.print_many", lambda jobs: asked.append(jobs) or [b"%PDF-", *[None] * 2])
    made = paper_pdfs(papers)
    assert (made[0], len(asked[0])) == (b"%PDF-", 3)
    assert all(len(pages_of(pdf)) == 1 for pdf in made[1:])
    assert paper_pdfs(papers) == made
    assert len(asked) == 1


def test_the_lot_code_is_printed_as_it_is_on_the_box(packer):
    order = make_ready_order(packer, lines=(5,), lots=[(2,)])
    make_lot(order.lines.get().candle, 3, code="R2417-B", by=packer)
    set_aside_order(order=order, by=packer)
    assert "R2417-B: 3" in text_of(paper_pdf(make_packed(packer, order).note))
