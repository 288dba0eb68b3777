"""The stockroom: pairs counted in, written off, found, regraded; sheets counted and posted."""

import uuid
from datetime import timedelta

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from inventory.domain import counts, lots
from inventory.models import Lot as LotRow
from inventory.models import StockCount
from orders.domain.seconds_remelt import remelt_seconds
from tests.histories.acting import PAIRS, PICK, REFUSED, SELDOM, YES_NO, Acting
from tests.histories.model import FIRSTS, SECONDS, Lot, Sheet

KINDS = ("damaged", "remelted", "returned", "recounted")


class Stock(Acting):
    def adopt_lot(self, row: LotRow, pairs: int, candle: int, grade: str) -> Lot:
        """A lot that was just opened with so many pairs."""
        assert (row.candle_id, row.grade) == (candle, grade)
        lot = self.model.lots[row.pk] = Lot(row.pk, candle, grade, row.made_on, pairs)
        return lot

    @rule(candle=PICK, pairs=PAIRS, second=YES_NO, days=st.integers(-1, 9), who=PICK)
    def count_in(self, candle, pairs, second, days, who):
        """A lot nobody knew of; the form sent twice finds it once."""
        candle, grade = self.pick(self.opening.candles, candle), SECONDS if second else FIRSTS
        form = {
            "candle": candle, "grade": grade, "pairs": pairs, "kind": "counted in", "reason": "found in the loft",
            "made_on": self.clock.today - timedelta(days=days), "fault": "dusty" if second else "",
            "submission": self.submission(), "by": self.who(who),
        }  # fmt: skip
        lot = self.attempt(lots.open_lot, days < 0, **form)
        if lot is not REFUSED:
            assert self.attempt(lots.open_lot, False, **form).pk == lot.pk
            self.adopt_lot(lot, pairs, candle.pk, grade)

    @rule(lot=PICK, kind=st.integers(0, 3), pairs=st.integers(0, 60), twice=YES_NO, who=PICK)
    def put_right(self, lot, kind, pairs, twice, who):
        lot, kind = self.pick(self.model.lots.values(), lot), KINDS[kind]
        free = self.model.free(lot.key)
        more = {"damaged": -pairs, "remelted": -pairs, "returned": pairs, "recounted": pairs - lot.on_hand}[kind]
        refused = more == 0 or free + more < 0
        form = {
            "lot": LotRow(pk=lot.key), "kind": kind, "pairs": pairs, "reason": "looked", "by": self.who(who),
            "submission": self.submission(),
        }  # fmt: skip
        done = self.attempt(lots.adjust_lot, refused, **form)
        if done is not REFUSED:
            lot.on_hand += more
            sheet = self.model.sheet
            if kind == "recounted" and sheet and lot.key in sheet.counted:
                # A recount puts the past right: two who saw the same gap close it once.
                sheet.counted[lot.key] -= more
            if twice:
                assert self.attempt(lots.adjust_lot, False, **form).pk == done.pk

    @rule(lot=PICK, pairs=PAIRS, twice=YES_NO, who=PICK)
    def regrade(self, lot, pairs, twice, who):
        lot = self.pick(self.model.lots.values(), lot)
        pairs = self.within(pairs, self.model.free(lot.key))
        form = {
            "lot": LotRow(pk=lot.key), "pairs": pairs, "fault": "scuffed", "reason": "seen in the light",
            "by": self.who(who), "submission": self.submission(),
        }  # fmt: skip
        made = self.attempt(lots.regrade_pairs, lot.grade != FIRSTS or pairs > self.model.free(lot.key), **form)
        if made is not REFUSED:
            lot.on_hand -= pairs
            assert self.adopt_lot(made, pairs, lot.candle, SECONDS).made_on == lot.made_on
            if twice:
                assert self.attempt(lots.regrade_pairs, False, **form).pk == made.pk

    @rule(first=PICK, second=PICK, pairs=st.integers(1, 12), who=PICK)
    def remelt(self, first, second, pairs, who):
        its = [lot.key for lot in self.model.lots.values() if lot.grade == SECONDS]
        keys = {self.pick(its, first), self.pick(its, second)}
        pairs = self.within(pairs, min(self.model.free(key) for key in keys))
        refused = any(pairs > self.model.free(key) for key in keys)
        submission = uuid.uuid5(self.submission(), "remelt")
        done = self.attempt(
            remelt_seconds, refused, lots=dict.fromkeys(keys, pairs), reason="nobody bought them",
            submission=submission, by=self.who(who),
        )  # fmt: skip
        if done is not REFUSED:
            assert done.pairs == pairs * len(keys)
            for key in keys:
                self.model.lots[key].on_hand -= pairs

    # Sheets

    @rule(who=PICK)
    def make_sheet(self, who):
        on_hand = {lot.key for lot in self.model.lots.values() if lot.on_hand}
        sheet = self.attempt(counts.start_count, bool(self.model.sheet) or not on_hand, by=self.who(who))
        if sheet is not REFUSED:
            self.model.sheet = Sheet(sheet.pk, on_hand)

    @rule(picks=st.lists(st.tuples(PICK, st.integers(-4, 4)), min_size=1, max_size=3), stale=SELDOM, who=PICK)
    @precondition(lambda self: self.model.sheet)
    def type_in(self, picks, stale, who):
        """Counted a little more or less than the book says at this moment."""
        model, sheet = self.model, StockCount.objects.get(pk=self.model.sheet.key)
        rows = {lot: row for row, lot in sheet.rows.values_list("pk", "lot")}
        assert set(rows) == model.sheet.lots
        seen = {self.pick(sorted(rows), lot): off for lot, off in picks}
        counted = {rows[lot]: max(0, model.lots[lot].on_hand + off) for lot, off in seen.items()}
        # A lot counted earlier is counted again: the whole sheet has one moment of counting.
        again = {rows[lot]: model.lots[lot].on_hand for lot in model.sheet.counted if lot not in seen}
        done = self.attempt(
            counts.type_in, stale, count=sheet, version=sheet.version - stale, counted_at=self.clock.now,
            counted={**counted, **again}, by=self.who(who),
        )  # fmt: skip
        if done is not REFUSED:
            found = {lot: counted[rows[lot]] - model.lots[lot].on_hand for lot in seen}
            model.sheet.counted = {**dict.fromkeys(model.sheet.counted, 0), **found}

    @rule(stale=SELDOM, who=PICK)
    @precondition(lambda self: self.model.sheet)
    def post_sheet(self, stale, who):
        model, sheet = self.model, StockCount.objects.get(pk=self.model.sheet.key)
        counted = model.sheet.counted
        refused = stale or not counted or any(model.free(lot) + found < 0 for lot, found in counted.items() if found)
        done = self.attempt(counts.post_count, refused, count=sheet, version=sheet.version - stale, by=self.who(who))
        if done is not REFUSED:
            for lot, found in counted.items():
                model.lots[lot].on_hand += found
            model.sheet = None

    @rule(who=PICK)
    @precondition(lambda self: self.model.sheet and len(self.model.sheet.counted) > 2)
    def throw_sheet_away(self, who):
        sheet = StockCount.objects.get(pk=self.model.sheet.key)
        self.attempt(counts.discard_count, False, count=sheet, version=sheet.version, by=self.who(who))
        self.model.sheet = None
