"""A recall in sentences, and as lines of a sheet."""

from datetime import date

import pytest

from orders.recall import Contact, Gone, calls, recall_sentence, traces_in_words
from orders.recall_file import HEADINGS, file_rows


def gone(*, shop=1, delivery=1, lot="F26-1", pairs=12, back=0, candle="IV250", boxes=("DN-1/1",), day=3):
    return Gone(
        shop, f"Shop {shop}", delivery, f"DN-{delivery}", 1001, "", date(2026, 11, day), candle, 7, lot, "firsts",
        pairs, list(boxes), back,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("rows", "kept", "hanging", "said"),
    [
        ([], 0, 0, "Lot A: nothing of it has left the house."),
        ([], 12, 0, "Lot A: nothing of it has left the house; 12 pairs lie here."),
        ([], 1, 0, "Lot A: nothing of it has left the house; 1 pair lies here."),
        ([gone()], 0, 0, "Lot A: 12 pairs went to 1 shop on 1 delivery; none is left here."),
        (
            [gone(), gone(delivery=2), gone(shop=2, delivery=3, back=3)], 1, 2,
            "Lot A: 36 pairs went to 2 shops on 3 deliveries, 3 of them came back; 1 is here; "
            "2 frames of it are on the floor.",
        ),
        ([gone(back=12)], 12, 0, "Lot A: 12 pairs went to 1 shop on 1 delivery, and all came back; 12 are here."),
    ],
)  # fmt: skip
def test_the_first_line_says_how_much_went_where_and_what_is_here(rows, kept, hanging, said):
    assert recall_sentence("Lot A", rows, kept, hanging) == said


def test_traces_are_told_by_their_way():
    assert traces_in_words([]) == "No other frame may hold traces of it."
    said = traces_in_words(["vat", "vat", "remelt", "unknown"], pairs_here=40, on_floor=["F7", "F8", "F9"])
    assert said == (
        "4 more frames may hold traces of it: 2 hung over the same vat before its next change-over, 1 drew remelt in "
        "which such candles had been melted down, 1 drew the same material when the book had no lot of it left. "
        "40 pairs of them lie here, and F7, F8 and F9 are on the floor."
    )
    assert traces_in_words(["vat"], on_floor=["F7"]).endswith("F7 is on the floor.")


def test_whoever_has_most_is_rung_up_first_and_each_delivery_is_a_line():
    rows = [
        gone(shop=1, pairs=5),
        gone(shop=2, delivery=9, pairs=4, boxes=("DN-9/2",), day=9),
        gone(shop=2, delivery=8, lot="F26-2", pairs=6, boxes=("DN-8/10", "DN-8/2")),
        gone(shop=2, delivery=8, lot="F26-3", pairs=2, back=1, boxes=("DN-8/2",)),
        gone(shop=2, delivery=8, lot="F26-4", pairs=2, candle="RD250", boxes=("DN-8/2",)),
    ]
    first, second = calls(rows, {2: [Contact("Della Finch", "orders", "01632 960123", "")]})
    assert (first.shop, first.pairs, first.whom) == ("Shop 2", 13, "Della Finch (orders), 01632 960123")
    assert (second.shop, second.pairs, second.whom) == ("Shop 1", 5, "no telephone in the book")
    early, late = first.carried
    assert (early.note, early.boxes, early.pairs) == ("DN-8", "boxes 2, 10", "10 pairs, 1 of them came back")
    assert early.contents == "IV250: F26-2 (6), F26-3 (2); RD250: F26-4 (2)"
    assert (late.note, late.boxes) == ("DN-9", "box 2")


def test_a_row_of_the_file_has_a_value_for_each_heading():
    people = [Contact("Della Finch", "", "01632 960123", ""), Contact("Ike Nash", "", "", "ike@shop.example")]
    (row,) = file_rows([gone()], {1: people})
    said = dict(zip(HEADINGS, row, strict=True))
    assert said["Contact"] == "Della Finch; Ike Nash"
    assert (said["Telephone"], said["E-mail"]) == ("01632 960123", "ike@shop.example")
    assert (said["Pairs sent"], said["Why it is listed"]) == (12, "holds it")
