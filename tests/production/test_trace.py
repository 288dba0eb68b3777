"""Where wax goes: into the frames that drew it, into the vat and onto what hung there later, into the tub and back."""

from hypothesis import given
from hypothesis import strategies as st

from production.trace import REMELT, VAT, Dip, Draw, Floor, Scrap, WeighIn, origins, reach

LOT, OTHER, MELTED, AGAIN = 1, 2, 101, 102
IVORY, RED = "ivory", "red"


def test_frames_hold_what_they_drew_and_traces_stay_in_the_vat_until_its_change_over():
    floor = Floor(
        draws=[Draw(LOT, 1, vat=7, began=10), Draw(OTHER, 2, vat=7, began=20)],
        dips=[
            Dip(9, 7, 1, 9),  # was out before
            Dip(1, 7, 10, 15),
            Dip(8, 7, 5, 12),  # hung there still when the wax came in
            Dip(2, 7, 20, 25),
            Dip(3, 7, 40, 45),  # after the change-over
            Dip(4, 6, 20, 25),  # another vat
            Dip(5, 7, 28, None),  # its run goes on
        ],
        changes={7: [30]},
    )
    found = reach(LOT, floor)
    assert found.held == {1}
    # A run that never ended is taken as going on, whatever was noted at the vat.
    assert found.traces == {8: VAT, 2: VAT, 5: VAT}


def test_a_later_filling_of_the_vat_holds_nothing_until_remelt_brings_it_back():
    floor = Floor(
        draws=[Draw(LOT, 1, 7, 10), Draw(MELTED, 4, 7, 60), Draw(OTHER, 3, 7, 40)],
        dips=[Dip(1, 7, 10, 15), Dip(3, 7, 40, 45), Dip(4, 7, 60, 65), Dip(5, 7, 66, 70), Dip(6, 7, 50, 55)],
        scraps=[Scrap(1, IVORY, 20), Scrap(3, RED, 47)],
        weigh_ins=[WeighIn(MELTED, IVORY, 25), WeighIn(AGAIN, IVORY, 90), WeighIn(103, RED, 48)],
        changes={7: [30, 48]},
    )
    assert reach(LOT, floor).traces == {4: REMELT, 5: VAT}


def test_remelt_of_remelt_is_followed_and_what_lies_in_the_tub_is_not_drawn():
    floor = Floor(
        draws=[Draw(LOT, 1), Draw(MELTED, 2), Draw(AGAIN, 3)],
        scraps=[Scrap(1, IVORY, 1), Scrap(2, IVORY, 5), Scrap(3, IVORY, 9)],
        weigh_ins=[WeighIn(MELTED, IVORY, 1), WeighIn(AGAIN, IVORY, 6)],
    )
    assert reach(LOT, floor).traces == {2: REMELT, 3: REMELT}
    assert reach(AGAIN, floor).held == {3}
    assert origins([AGAIN], floor) == {MELTED, LOT}
    assert origins([MELTED], floor) == {LOT}
    assert origins([LOT], floor) == set()


def test_an_unknown_lot_reaches_nothing():
    assert reach(LOT, Floor(draws=[])).held == frozenset()


moments = st.integers(0, 12)
draws = st.builds(Draw, st.sampled_from([1, 2, 101, 102]), st.integers(1, 6), st.sampled_from([None, 7, 8]), moments)
dips = st.builds(
    lambda frame, vat, began, length: Dip(frame, vat, began, None if length is None else began + length),
    st.integers(1, 6), st.sampled_from([7, 8]), moments, st.none() | st.integers(0, 4),
)  # fmt: skip
scraps = st.builds(Scrap, st.integers(1, 6), st.sampled_from([IVORY, RED]), moments)
weigh_ins = st.lists(moments, max_size=2, unique=True).map(
    lambda times: [WeighIn(101 + n, IVORY, at) for n, at in enumerate(sorted(times))]
)
floors = st.builds(
    Floor, st.lists(draws, max_size=8), st.lists(dips, max_size=8), st.lists(scraps, max_size=6), weigh_ins,
    st.dictionaries(st.sampled_from([7, 8]), st.lists(moments, max_size=2).map(sorted)),
)  # fmt: skip


def by_hand(lot, floor):
    """The same said the slow way: every rule tried over and over until nothing is added."""

    def overlap(draw, dip):
        """In one filling: no change-over between the moment the wax came in and the frame's hanging there."""
        changes = floor.changes.get(draw.vat, ())
        if draw.vat != dip.vat or not (dip.ended is None or dip.ended > draw.began):
            return False
        ends = [at for at in changes if at > draw.began]
        starts = [at for at in changes if at <= draw.began]
        touches = dip.ended is None or not starts or dip.ended >= starts[-1]
        return touches and (not ends or dip.began < ends[0])

    def melted_into(scrap):
        later = [w for w in floor.weigh_ins if w.tub == scrap.tub and w.at >= scrap.at]
        return min(later, key=lambda w: w.at).lot if later else None

    lots, held = {lot}, {draw.frame for draw in floor.draws if draw.lot == lot}
    frames, before = set(held), None
    while before != (len(lots), len(frames)):
        before = (len(lots), len(frames))
        for draw in floor.draws:
            if draw.lot in lots:
                frames |= {draw.frame} | {dip.frame for dip in floor.dips if overlap(draw, dip)}
        lots |= {melted_into(scrap) for scrap in floor.scraps if scrap.frame in frames} - {None}
    return held, frames - held


@given(floors)
def test_it_reaches_what_trying_every_rule_reaches(floor):
    held, traces = by_hand(1, floor)
    found = reach(1, floor)
    assert (found.held, set(found.traces)) == (held, traces)
