"""How an order stands, in words."""

from datetime import date

import pytest

from orders.cover import Cover
from orders.standing import Due, Standing, due_day, due_sentence, order_sentence, short_day

FRIDAY = date(2026, 11, 27)
NEXT = date(2026, 12, 4)
COVERED, SHORT, BARE = Cover(set_aside=24), Cover(set_aside=12, open=12), Cover(open=24)
WAITS = Cover(set_aside=12, on_floor=12)


@pytest.mark.parametrize(
    ("today", "until"),
    [
        (date(2026, 11, 23), FRIDAY),
        (FRIDAY, FRIDAY),
        (date(2026, 11, 28), NEXT),
        (date(2026, 11, 29), NEXT),
    ],
)
def test_the_week_ends_on_friday(today, until):
    assert due_day(today) == until


@pytest.mark.parametrize(
    ("covers", "words"),
    [
        ([COVERED], "The one order due by Friday 27 November is covered."),
        ([COVERED] * 3, "All 3 orders due by Friday 27 November are covered."),
        ([SHORT], "The one order due by Friday 27 November is not covered; 1 is short by 12 pairs."),
        ([BARE, BARE], "None of 2 orders due by Friday 27 November is covered; 2 have nothing set aside."),
        (
            [COVERED] * 11 + [BARE] * 2 + [SHORT],
            "11 of 14 orders due by Friday 27 November are covered; 2 have nothing set aside, 1 is short by 12 pairs.",
        ),
        ([WAITS], "The one order due by Friday 27 November is not covered; 1 waits on the floor."),
        (
            [COVERED] * 11 + [WAITS] * 2 + [Cover(on_floor=3, open=24)],
            "11 of 14 orders due by Friday 27 November are covered; 2 wait on the floor, 1 is short by 24 pairs.",
        ),
        (
            [COVERED, Cover(sent=3, open=1), BARE],
            "1 of 3 orders due by Friday 27 November is covered; 1 has nothing set aside, 1 is short by 1 pair.",
        ),
    ],
)
def test_the_first_sentence_of_the_book(covers, words):
    later = Due(NEXT, BARE)
    assert due_sentence([*(Due(FRIDAY, cover) for cover in covers), later], FRIDAY) == words


def test_nothing_is_due():
    assert due_sentence([], FRIDAY) == "No order is due by Friday 27 November."
    assert due_sentence([Due(NEXT, BARE)], FRIDAY) == (
        "No order is due by Friday 27 November; the next is due on 4 December."
    )


@pytest.mark.parametrize(
    ("standing", "words"),
    [
        (Standing("draft", BARE), "draft"),
        (Standing("cancelled", BARE), "cancelled"),
        (Standing("done", Cover(sent=24), left_on=NEXT), "sent 4 Dec"),
        (Standing("done", Cover(sent=24)), "done"),
        (Standing("confirmed", COVERED), "ready to pack"),
        (Standing("confirmed", COVERED, on_stop=True), "ready to pack; on stop"),
        (Standing("confirmed", COVERED, being_packed=True), "being packed"),
        (Standing("confirmed", SHORT, packed_for=NEXT), "packed for 4 Dec; 12 open"),
        (Standing("confirmed", BARE), "nothing set aside yet"),
        (Standing("confirmed", Cover(on_floor=84)), "84 on the floor"),
        (
            Standing("confirmed", Cover(on_floor=84, open=3), complete_only=True),
            "84 on the floor; 3 short; takes complete only",
        ),
        (Standing("confirmed", WAITS, packed_for=NEXT), "packed for 4 Dec; 12 on the floor"),
        (Standing("confirmed", BARE, complete_only=True), "24 short; takes complete only"),
        (Standing("confirmed", SHORT, short_of=("IV250",)), "12 short of IV250"),
        (Standing("confirmed", SHORT, short_of=("IV250", "MO180")), "12 short of IV250 and MO180"),
        (Standing("confirmed", SHORT, short_of=("A", "B", "C")), "12 short on 3 lines"),
    ],
)
def test_how_an_order_stands(standing, words):
    assert standing.in_words() == words


def test_ready_is_covered_and_not_yet_in_a_box():
    assert Standing("confirmed", COVERED).ready
    for other in (
        Standing("done", COVERED),
        Standing("confirmed", SHORT),
        Standing("confirmed", Cover(sent=24)),
        Standing("confirmed", WAITS),
        Standing("confirmed", COVERED, being_packed=True),
        Standing("confirmed", COVERED, packed_for=NEXT),
    ):
        assert not other.ready


@pytest.mark.parametrize(
    ("standing", "today", "words"),
    [
        (Standing("confirmed", SHORT), FRIDAY, "Order 7: 12 of 24 pairs for Ossel are open; ship by 4 December."),
        (
            Standing("confirmed", WAITS),
            FRIDAY,
            "Order 7: 12 of 24 pairs for Ossel are on the floor; ship by 4 December.",
        ),
        (
            Standing("confirmed", Cover(set_aside=9, on_floor=2, open=1)),
            FRIDAY,
            "Order 7: 1 of 12 pairs for Ossel is open, 2 on the floor; ship by 4 December.",
        ),
        (
            Standing("confirmed", COVERED),
            date(2026, 12, 5),
            "Order 7: all 24 pairs for Ossel are covered, ready to pack; it was due on 4 December.",
        ),
        (
            Standing("done", Cover(sent=24), left_on=NEXT),
            NEXT,
            "Order 7: all 24 pairs for Ossel have left, the last on 4 December.",
        ),
        (Standing("done", Cover(sent=1)), NEXT, "Order 7: the pair for Ossel has left."),
        (Standing("cancelled", BARE), NEXT, "Order 7: 24 pairs for Ossel, cancelled."),
    ],
)
def test_the_first_sentence_of_an_order(standing, today, words):
    assert order_sentence(7, "Ossel", NEXT, standing, today) == words


def test_a_day_of_another_year_says_so():
    assert short_day(NEXT, date(2026, 1, 1)) == "4 Dec"
    assert short_day(NEXT, date(2027, 1, 1)) == "4 Dec 2026"
