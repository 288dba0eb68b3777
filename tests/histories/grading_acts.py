"""Frames counted off into firsts, seconds and remelt; what they hung for handed on; a wrong count put right."""

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from production.domain.grading import grade_frame
from production.domain.regrading import correct_grading
from production.models import Frame as FrameRow
from production.models import Grading, HungFor
from tests.histories.acting import PICK, REFUSED, SELDOM, YES_NO
from tests.histories.floor_acts import Floor
from tests.histories.model import FIRSTS, SECONDS, Frame

# Shares of what was hung, in twelfths: firsts, then two faults; the rest is for remelt.
COUNTED = st.tuples(st.integers(0, 12), st.integers(0, 12), st.integers(0, 12))
FAULTS = ("bent", "bubbled")


def counted_off(hung: int, shares) -> dict[str, int]:
    """Pairs of "" (firsts), each fault and "remelt" that add up to what was hung."""
    left, found = hung, {}
    for name, share in zip(("", *FAULTS), shares, strict=True):
        found[name] = left * share // 12
        left -= found[name]
    return {**found, "remelt": left}


class Graders(Floor):
    @rule(frame=PICK, shares=COUNTED, stale=SELDOM, twice=YES_NO, who=PICK)
    @precondition(lambda self: self.frames_in("off"))
    def grade(self, frame, shares, stale, twice, who):
        self.grade_this(self.of_frame(frame, "off"), shares, stale, twice, who)

    def grade_this(self, frame: Frame, shares, stale, twice, who) -> None:
        row, by = self.frame_row(frame), self.who(who)
        count, known = counted_off(frame.hung, shares), set(self.model.lots)
        if frame.state == "graded" and count == frame.gave:
            return  # a count sent once more, which is tried below
        hung_for = self.hung_for(frame)
        form = {
            "frame": row, "version": row.version - stale, "firsts": count[""], "remelt": count["remelt"],
            "seconds": {fault: count[fault] for fault in FAULTS}, "by": by, "early": "hard enough",
        }  # fmt: skip
        made = self.attempt(grade_frame, frame.state != "off" or stale, **form)
        if made is REFUSED:
            return
        if twice:
            assert self.attempt(grade_frame, False, **form).pk == made.pk
        frame.state, frame.gave = "graded", count
        self.lots_of(frame, made, known)
        self.handed_on(hung_for, count[""])

    def hung_for(self, frame: Frame) -> dict[int, int]:
        """Pairs by order line."""
        return dict(HungFor.objects.filter(frame=frame.key).values_list("want__order_line", "pairs"))

    def lots_of(self, frame: Frame, grading: Grading, known: set[int]) -> None:
        """Lots that were opened for what has none yet."""
        grades = {"": FIRSTS, **dict.fromkeys(FAULTS, SECONDS)}
        new = [name for name in grades if frame.gave[name] and name not in frame.lots]
        self.adopt_new_lots(known, [(frame.candle, grades[name], frame.gave[name]) for name in new])
        if grading.lot_id:
            frame.lots[""] = grading.lot_id
        frame.lots.update(dict(grading.faults.values_list("fault", "lot")))

    def handed_on(self, hung_for: dict[int, int], firsts: int) -> None:
        """What came off goes to those it hung for, and only to them; where it is enough, to each of them in full."""
        model = self.model
        could = {line: min(pairs, model.open(model.lines[line])) for line, pairs in hung_for.items()}
        whole = {model.lines[line].order for line in hung_for if model.orders[model.lines[line].order].complete_only}
        grown = self.adopt_promises()
        for line in grown:
            assert line in hung_for or model.lines[line].order in whole, f"line {line} took what hung for others"
        for key in whole:
            its = [line.key for line in model.lines_of(key)]
            taken = any(line in grown for line in its)
            assert not taken or not any(model.open(model.lines[line]) for line in its), "all or nothing"
        if firsts >= sum(hung_for.values()) and not whole:
            short = {line: pairs for line, pairs in could.items() if grown.get(line, 0) < pairs}
            assert not short, f"{firsts} firsts, and {short} came short"

    @rule(frame=PICK, shares=COUNTED, stale=SELDOM, who=PICK)
    @precondition(lambda self: self.frames_in("graded"))
    def count_anew(self, frame, shares, stale, who):
        frame = self.pick(self.frames_in("graded"), frame)
        grading, known = Grading.objects.get(frame=frame.key), set(self.model.lots)
        before, count = frame.gave, counted_off(frame.hung, shares)
        same = count == before
        done = self.attempt(
            correct_grading, not same and (stale or self.short(frame, count)), grading=grading,
            version=grading.version - stale, firsts=count[""], remelt=count["remelt"],
            seconds={fault: count[fault] for fault in FAULTS}, reason="counted the tray twice", by=self.who(who),
        )  # fmt: skip
        if done is REFUSED or same:
            return
        frame.gave = count
        for name, lot in list(frame.lots.items()):
            self.model.lots[lot].on_hand += count[name] - before[name]
            if name and not count[name]:
                del frame.lots[name]
        self.lots_of(frame, Grading.objects.get(pk=done.pk), known)
        short = {row["want"] for row in done.promised}
        assert FrameRow.objects.filter(pk=frame.key, hung_for=0).exists()
        self.corrected(short, count[""] > before[""])

    def short(self, frame: Frame, count: dict[str, int]) -> bool:
        """Whether pairs would have to go that are promised or gone."""
        less = {lot: frame.gave[name] - count[name] for name, lot in frame.lots.items()}
        return any(pairs > self.model.free(lot) for lot, pairs in less.items() if pairs > 0)

    def corrected(self, wants: set[int], more: bool) -> None:
        grown = self.adopt_promises()
        assert more or not grown, "fewer firsts, and promises grew"
        assert wants or not grown, "a frame that hung for nobody gave something away"
