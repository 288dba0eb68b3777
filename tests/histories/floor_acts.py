"""The floor: frames threaded, hung, dipped, read, taken off; steps undone; what hangs counted off and put right."""

import copy
from decimal import Decimal

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from production.domain import frames, runs, turns, undo
from production.models import DipRun, Want
from production.models import Frame as FrameRow
from tests.histories.acting import PAIRS, PICK, REFUSED, YES_NO, Acting
from tests.histories.model import Frame

MOST_FRAMES = 8


class Floor(Acting):
    def frames_in(self, *states: str) -> list[Frame]:
        return [frame for frame in self.model.frames.values() if frame.state in states]

    def frames_alive(self) -> list[Frame]:
        return self.frames_in("threaded", "hanging", "off")

    def of_frame(self, pick: int, *states: str) -> Frame:
        """One of the frames, those in these states four times as likely."""
        its = sorted(self.model.frames.values(), key=lambda frame: frame.key)
        return self.pick(self.frames_in(*states) * 4 + its, pick)

    @staticmethod
    def frame_row(frame: Frame) -> FrameRow:
        return FrameRow.objects.get(pk=frame.key)

    @rule(candle=PICK, hung=st.integers(4, 60), wants=st.lists(st.tuples(PICK, PAIRS), max_size=2), who=PICK)
    @precondition(lambda self: len(self.frames_alive()) < MOST_FRAMES)
    def thread(self, candle, hung, wants, who):
        """A frame for the shelf, or for what the orders lack; whether it may be hung for so many the look decides."""
        candle = self.pick(self.opening.candles[:2], candle)
        open_wants = list(Want.objects.filter(candle=candle).order_by("pk"))
        promised = {self.pick(open_wants, want): pairs for want, pairs in wants} if open_wants else {}
        made = self.attempt(
            frames.thread_frame, None if promised else False, candle=candle, kind=self.opening.frame_kind, hung=hung,
            wants=promised or None, by=self.who(who),
        )  # fmt: skip
        if made is not REFUSED:
            assert made.hung_for == sum(promised.values())
            self.model.frames[made.pk] = Frame(made.pk, candle.pk, hung)

    @rule(carousel=PICK, vat=PICK, who=PICK)
    def begin(self, carousel, vat, who):
        carousel, vat = self.pick(self.opening.carousels, carousel), self.pick(self.opening.vats, vat)
        busy = DipRun.objects.filter(ended_at=None).values_list("carousel", "vat")
        refused = any(carousel.pk == one or vat.pk == other for one, other in busy) or None
        begun = self.attempt(
            runs.begin_run, refused, carousel=carousel, vat=vat, turn_minutes=Decimal(4), by=self.who(who)
        )
        if begun is not REFUSED:
            self.done(begun.pk)

    def done(self, run: int, *frames: Frame) -> None:
        """A step of the run that changes these frames: called before the model changes them."""
        self.model.before[run].append({frame.key: copy.copy(frame) for frame in frames})

    @staticmethod
    def open_runs() -> list[DipRun]:
        return list(DipRun.objects.filter(ended_at=None).order_by("pk"))

    @rule(frame=PICK, carousel=PICK, position=st.integers(0, 7), who=PICK)
    @precondition(lambda self: self.model.frames)
    def hang(self, frame, carousel, position, who):
        frame = self.of_frame(frame, "threaded")
        self.hang_this(frame, self.pick(self.opening.carousels, carousel), position, who)

    def hang_this(self, frame: Frame, place, position: int, who: int) -> None:
        row = self.frame_row(frame)
        refused = frame.state != "threaded" or not 1 <= position <= place.positions or None
        step = self.attempt(frames.hang_frame, refused, frame=row, carousel=place, position=position, by=self.who(who))
        if step is not REFUSED:
            self.done(step.run_id, frame)
            frame.state, frame.carousel = "hanging", place.pk

    @rule(run=PICK, times=st.integers(1, 3), who=PICK)
    @precondition(lambda self: self.frames_in("hanging"))
    def turn(self, run, times, who):
        for _ in range(times):
            open_runs = self.open_runs()
            if open_runs:
                self.turn_once(self.pick(open_runs, run), who)

    def turn_once(self, run: DipRun, who: int) -> None:
        dipped = [frame for frame in self.frames_in("hanging") if frame.carousel == run.carousel_id and not frame.done]
        step = self.attempt(turns.count_turn, run.resting or not dipped, run=run, by=self.who(who))
        if step is not REFUSED:
            self.done(run.pk, *dipped)
            for frame in dipped:
                frame.dips += 1
                # The recipe's finish dips mark it done: the model takes that from the row.
                frame.done = FrameRow.objects.values_list("done", flat=True).get(pk=frame.key)

    @rule(frame=PICK, mm=st.integers(1, 260), replaces=YES_NO, who=PICK)
    @precondition(lambda self: self.frames_in("hanging"))
    def read(self, frame, mm, replaces, who):
        frame = self.of_frame(frame, "hanging")
        row = self.frame_row(frame)
        refused = frame.state != "hanging" or None
        step = self.attempt(
            turns.read_gauge, refused, frame=row, mm=Decimal(mm) / 10, by=self.who(who), replaces_last=replaces
        )
        if step is not REFUSED:
            self.done(step.run_id)

    @rule(frame=PICK, done=YES_NO, who=PICK)
    @precondition(lambda self: self.frames_in("hanging"))
    def mark(self, frame, done, who):
        frame = self.of_frame(frame, "hanging")
        row = self.frame_row(frame)
        refused = frame.state != "hanging" or frame.done == done or None
        step = self.attempt(turns.mark_done, refused, frame=row, done=done, by=self.who(who))
        if step is not REFUSED:
            self.done(step.run_id, frame)
            frame.done = done

    @rule(frame=PICK, finished=st.integers(0, 3), who=PICK)
    @precondition(lambda self: self.frames_in("hanging"))
    def take_down(self, frame, finished, who):
        self.take_this_down(self.of_frame(frame, "hanging"), bool(finished), who)

    def take_this_down(self, frame: Frame, finished: bool, who: int) -> None:
        row = self.frame_row(frame)
        refused = frame.state != "hanging" or (finished and not frame.dips)
        step = self.attempt(frames.take_off, refused, frame=row, finished=finished, by=self.who(who))
        if step is not REFUSED:
            self.done(step.run_id, frame)
            frame.state, frame.done, frame.carousel = "off" if finished else "threaded", frame.done or finished, None

    @rule(run=PICK, what=st.integers(0, 2), who=PICK)
    @precondition(lambda self: any(self.model.before.values()))
    def rest_or_end(self, run, what, who):
        if open_runs := self.open_runs():
            run, act = self.pick(open_runs, run), (runs.rest, runs.resume, runs.end_run)[what]
            refused = (act is runs.rest and run.resting) or (act is runs.resume and not run.resting)
            if self.attempt(act, refused, run=run, by=self.who(who)) is not REFUSED:
                self.done(run.pk)

    @rule(run=PICK, vat=PICK, who=PICK)
    @precondition(lambda self: any(self.model.before.values()))
    def move(self, run, vat, who):
        """The run goes on over another vat, with everything that hangs."""
        if open_runs := self.open_runs():
            run, vat = self.pick(open_runs, run), self.pick(self.opening.vats, vat)
            refused = any(vat.pk == other.vat_id for other in open_runs if other.pk != run.pk) or None
            new = self.attempt(runs.move_run, refused, run=run, vat=vat, by=self.who(who))
            if new is not REFUSED:
                self.done(run.pk)
                self.done(new.pk)

    @rule(run=PICK, who=PICK)
    @precondition(lambda self: any(self.model.before.values()))
    def undo(self, run, who):
        """The last step of a run: its frames are as they were, or it is refused because something happened since."""
        run = self.pick(sorted(key for key, steps in self.model.before.items() if steps), run)
        last = undo.last_step(DipRun.objects.get(pk=run))
        if self.attempt(undo.undo_step, None, step=last, by=self.who(who)) is not REFUSED:
            moved_from = last.before.get("moved_from")
            if moved_from:
                # The end of the run it was moved from is undone with it.
                self.model.before[moved_from].pop()
            for key, frame in self.model.before[run].pop().items():
                assert self.model.frames[key].state not in ("graded", "scrapped"), "an undone step pulled a frame back"
                self.model.frames[key] = frame

    @rule(frame=PICK, who=PICK)
    @precondition(lambda self: len(self.frames_in("threaded")) > 2)
    def scrap(self, frame, who):
        frame = self.of_frame(frame, "threaded")
        row = self.frame_row(frame)
        done = self.attempt(
            frames.scrap_frame, frame.state != "threaded", frame=row, reason="wicks tangled", by=self.who(who)
        )
        if done is not REFUSED:
            frame.state = "scrapped"
