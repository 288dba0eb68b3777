"""The press makes the same papers as the house does by itself, several at once."""

from inventory import pdf_press
from inventory.pdf_press import print_many
from inventory.printing import render_pdf

TEMPLATE = "print/recall.html"
CONTEXTS = [{"workshop": {"name": f"Tallow Lane {n}"}, "recall": {"sentence": "Nobody."}} for n in range(3)]


def test_papers_come_back_in_their_order_and_what_fails_is_none():
    jobs = [(TEMPLATE, CONTEXTS[0]), ("print/none.html", {}), (TEMPLATE, CONTEXTS[1]), (TEMPLATE, CONTEXTS[2])]
    alone = [render_pdf(TEMPLATE, context) for context in CONTEXTS]
    assert print_many(jobs) == [alone[0], None, alone[1], alone[2]]


def test_a_press_that_is_gone_leaves_its_papers_to_the_caller(monkeypatch):
    monkeypatch.setattr(pdf_press.sys, "executable", "/bin/true")
    assert print_many([(TEMPLATE, CONTEXTS[0])] * 3) == [None] * 3
