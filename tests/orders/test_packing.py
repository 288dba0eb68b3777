"""The packing function: what goes together, what is refused, and how it is said."""

from decimal import Decimal

import pytest

from orders.boxes import CannotPack, Kind, Piece, boxes_in_words, kilograms, lifting_caution, weigh
from orders.packing import MOST_BOXES, least_boxes, pack_pairs, room_in, smallest_kind

STANDARD = Kind("standard", "Standard box", 320, 240, 160, 250, 12_000, standard=True)
LONG = Kind("long", "Long box", 420, 240, 160, 300, 14_000)
SMALL = Kind("small", "Small box", 270, 120, 160, 150, 6_000)


def piece(key, pairs, *, line=None, length=250, grams="100", per_box=24, candle="Ivory taper"):
    return Piece(key, line or key, candle, Decimal(length), Decimal(grams), per_box, pairs)


def contents(proposal):
    return [(box.kind.key, box.contents) for box in proposal.boxes]


def test_a_line_that_fits_lies_in_one_box():
    assert contents(pack_pairs([piece("a", 24)], [STANDARD])) == [("standard", {"a": 24})]


def test_one_pair_more_takes_another_box():
    assert len(pack_pairs([piece("a", 25)], [STANDARD]).boxes) == 2


def test_candles_share_a_box_by_their_parts_of_it():
    # 12/24 + 18/36 = 1: exactly full.
    proposal = pack_pairs([piece("a", 12), piece("b", 18, per_box=36)], [STANDARD])
    assert contents(proposal) == [("standard", {"a": 12, "b": 18})]


def test_another_kind_holds_by_its_inside_volume():
    # The small box has 27 x 12 x 16 of 32 x 24 x 16 = 0.4219 of the standard one: 10 of 24 pairs.
    assert not room_in(SMALL, [STANDARD, SMALL], [(piece("a", 10), 10)])
    assert "space for 10 more pairs of Ivory taper, not 11" in room_in(
        SMALL, [STANDARD, SMALL], [(piece("a", 11), 11)]
    )


def test_the_smallest_kind_that_holds_it_is_taken():
    assert contents(pack_pairs([piece("a", 10)], [STANDARD, LONG, SMALL])) == [("small", {"a": 10})]
    assert smallest_kind([STANDARD, SMALL], [(piece("a", 11), 11)]) == STANDARD


def test_a_long_candle_goes_along_the_length_never_across():
    # The diagonal of the standard box's floor is 400 mm; a 350 mm candle still does not go in.
    assert contents(pack_pairs([piece("a", 5, length=350)], [STANDARD, LONG])) == [("long", {"a": 5})]
    with pytest.raises(CannotPack, match=r"Ivory taper is 350 mm long; the longest box is 320 mm inside.*diagonal"):
        pack_pairs([piece("a", 5, length=350)], [STANDARD])


def test_the_weight_limit_counts_the_empty_box_in():
    # 12 000 - 250 = 11 750 g: 11 pairs of 1 000 g.
    proposal = pack_pairs([piece("a", 12, grams="1000")], [STANDARD])
    assert sorted(box.contents["a"] for box in proposal.boxes) == [1, 11]
    assert "weight limit for 11 more pairs" in room_in(STANDARD, [STANDARD], [(piece("a", 12, grams="1000"), 12)])


def test_a_pair_above_every_limit_is_refused_by_name():
    with pytest.raises(CannotPack, match="One pair of Altar candle"):
        pack_pairs([piece("a", 1, grams="11750.01", candle="Altar candle")], [STANDARD, SMALL])


def test_without_a_standard_box_nothing_can_be_measured():
    with pytest.raises(CannotPack, match="standard"):
        pack_pairs([piece("a", 1)], [SMALL])
    with pytest.raises(CannotPack, match="standard"):
        pack_pairs([piece("a", 1)], [])


def test_more_boxes_than_a_van_holds_are_refused_quickly():
    with pytest.raises(CannotPack, match=f"at most {MOST_BOXES}"):
        pack_pairs([piece("a", 100_000)], [STANDARD])


def test_lines_stay_together_where_it_costs_no_box():
    # Filled to the brim in turn, b would be torn: 16 + 8 | 8 + 16.
    proposal = pack_pairs([piece("a", 16), piece("b", 16), piece("c", 8)], [STANDARD])
    boxes = [set(box.contents) for box in proposal.boxes]
    assert len(boxes) == 2
    assert sum(len(box) for box in boxes) == 3


def test_lots_of_a_line_stay_together_where_it_costs_no_box():
    proposal = pack_pairs([piece("a1", 20, line="a"), piece("a2", 20, line="a")], [STANDARD])
    assert [box.contents for box in proposal.boxes] == [{"a1": 20}, {"a2": 20}]


def test_a_line_is_torn_where_that_saves_a_box():
    assert len(pack_pairs([piece("a", 16), piece("b", 16), piece("c", 16)], [STANDARD]).boxes) == 2


def test_nothing_to_pack_takes_no_box():
    proposal = pack_pairs([], [STANDARD])
    assert proposal.boxes == []
    assert proposal.least == 0


def test_how_far_from_the_least_is_said_in_words():
    assert boxes_in_words(7, 6, "volume") == "7 boxes; 6 is the least possible by volume"
    assert boxes_in_words(1, 1, "weight") == "1 box, the fewest possible"


def test_large_pairs_count_alone_in_the_bound():
    # Each takes more than half a box by weight, so two never share one, whatever the volume says.
    heavy = [piece(n, 1, grams="6000") for n in range(5)]
    assert least_boxes(heavy, [STANDARD]) == (5, "weight")


def test_weights_of_a_box():
    assert weigh([(piece("a", 24, grams="128.56"), 24)], STANDARD) == (Decimal("3085.44"), Decimal("3335.44"))
    assert kilograms(Decimal("3335.44")) == Decimal("3.34")
    assert kilograms(Decimal("5")) == Decimal("0.01")


def test_lifting_caution_starts_above_16_kg_and_defers():
    assert lifting_caution(Decimal(16_000)) == ""
    said = lifting_caution(Decimal(18_400))
    assert said.startswith("18.40 kg")
    assert "two people or a trolley" in said
    assert "rules of your own place come first" in said
