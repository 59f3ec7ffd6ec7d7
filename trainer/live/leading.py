"""Where a singer who leads is: entries told from the pitch line as it comes, and the tempo that they make. Pure.

The singer's time is a straight line from the last entry on, at a tempo that each entry corrects. Phase is corrected wholly, the tempo
in part and carried on as it changed last, since tempos wander slowly (linear phase and period correction: Vorberg and Wing 1996, from
memory; gains are our own, chosen on simulated singers). Nothing here is ever a verdict.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from audio.heard import PitchFrame
from audio.units import OCTAVE_C100, RATE_HZ
from trainer.judge.phonation import ms_to_frames

NEAR_C100 = 9_000
"""A pitch within 90 cents, in any octave, may be the note; nearer to it than to the note before, it is."""
ENTERED_MS, BARELY_MS = 25, 60
"""A pitch held so long is an entry: a leap or an entry out of silence; a step of a semitone, which vibrato crosses, or a wrong note."""
GAP_MS = 40
"""Unvoiced so long, the same pitch is begun anew."""
EARLY = Fraction(2, 5)
"""No entry comes earlier than by this share of the note before it."""
NEAR_ENTRY = Fraction(1, 3)
"""A wrong note, or a pitch said again, is an entry within this share of the note before it."""
PERIOD_GAIN, TREND = Fraction(7, 10), Fraction(1, 2)
TELLING_SECONDS = 1
"""From one entry to the next so much time tells a tempo; less tells as much less, since an entry is known to some 30 ms only."""

SLOWEST, FASTEST = Fraction(1, 2), Fraction(2)
STALE_MS = 300
"""What was no entry for so long is none any more."""
LOST_AFTER, LOST_AROUND = 2, (2, 3)
"""After so many notes without an entry the singer is looked for so many notes back and on."""
FAINT_DB10 = 250
STEADY_C100 = 6_000


@dataclass(frozen=True, slots=True)
class Asked:
    """One note that the singer is to enter with."""

    onset_quarters: Fraction
    end_quarters: Fraction
    pitch_c100: int


@dataclass(frozen=True, slots=True)
class Line:
    """The singer's time from an entry on: at ``frame`` stands ``quarters``, and it goes on at ``quarters_per_minute``."""

    quarters: Fraction
    frame: int
    quarters_per_minute: Fraction

    def at(self, quarters: Fraction) -> int:
        """The frame at which it comes to *quarters*."""
        return self.frame + round((quarters - self.quarters) * 60 * RATE_HZ / self.quarters_per_minute)


class Leading:
    """Follows one singer, frame by frame.

    Parameters
    ----------
    notes : sequence of Asked
        In order.
    written : Line
        Where quarter 0 lies, and the tempo that was counted in.
    """

    def __init__(self, notes: Sequence[Asked], written: Line) -> None:
        self._notes = notes
        self._counted_qpm = written.quarters_per_minute
        self.line = written
        self._next = self._passed = 0
        self._trend = Fraction(0)
        self._run: list[PitchFrame] = []
        self._gap_since: int | None = written.frame
        self._voiced_until = written.frame
        self._loud_db10 = -1200
        self.waits = False
        """Whether music time waits for the singer: an entry is then never too early or too late."""

    @property
    def next_entry(self) -> Asked | None:
        """The note that is to be entered next; None after the last."""
        return self._notes[self._next] if self._next < len(self._notes) else None

    def entries_from(self, quarters: Fraction) -> list[Fraction]:
        """Where the notes from there on are entered."""
        return [note.onset_quarters for note in self._notes if note.onset_quarters >= quarters]

    def silent_since(self, frame: int) -> int:
        """The frame since which nothing was sung though something is asked for; *frame* itself where nothing is missing."""
        k = bisect_right(self._notes, frame, key=lambda note: self.line.at(note.onset_quarters)) - 1
        if k < 0:
            return frame
        while k > 0 and self._notes[k - 1].end_quarters == self._notes[k].onset_quarters:
            k -= 1
        return min(frame, max(self._voiced_until, self.line.at(self._notes[k].onset_quarters)))

    def stand_at(self, quarters: Fraction) -> None:
        """Music time waits at *quarters*: the next note entered is the first from there on, whenever it comes."""
        self.waits = True
        self._next = next(
            (k for k, note in enumerate(self._notes) if note.onset_quarters >= quarters), len(self._notes)
        )
        self._gap_since = self._voiced_until
        self._run = []

    def go_on(self, line: Line) -> None:
        """Music time goes on by somebody else's word, as after a pause."""
        self.line = line
        self._trend = Fraction(0)
        self.stand_at(line.quarters)
        self.waits = False
        self._voiced_until = line.frame

    def hear(self, frame: PitchFrame) -> Line | None:
        """Take one frame; the singer's line anew where this frame makes an entry known."""
        if not self.waits:
            self._pass_over(frame.centre_frame)
        if not self._sounds(frame):
            self._run = []
            if self._gap_since is None and frame.centre_frame - self._voiced_until >= ms_to_frames(GAP_MS):
                self._gap_since = self._voiced_until
            return None
        self._voiced_until = frame.centre_frame
        if self._run and abs(_folded(frame.f0_c100 - self._run[0].f0_c100)) > STEADY_C100:
            self._run = []
        self._run.append(frame)
        entered = self._entered(frame)
        return None if entered is None else self._enter(entered)

    def _pass_over(self, now_frame: int) -> None:
        """Notes whose beginning nobody could tell are behind once the note after them has begun."""
        while self._next + 1 < len(self._notes):
            here, after = (self.line.at(note.onset_quarters) for note in self._notes[self._next : self._next + 2])
            if now_frame < after + NEAR_ENTRY * (after - here):
                return
            self._next += 1
            self._passed += 1

    def _sounds(self, frame: PitchFrame) -> bool:
        if not frame.voiced:
            return False
        self._loud_db10 = max(self._loud_db10 - 1, frame.level_db10)
        return frame.level_db10 > self._loud_db10 - FAINT_DB10

    def _entered(self, frame: PitchFrame) -> int | None:
        """The note that the run now begins, None while it may still be the note before."""
        begun = self._run[0].centre_frame
        lasts = frame.centre_frame - begun
        if lasts > ms_to_frames(STALE_MS) and not self.waits:
            return None
        back, on = LOST_AROUND if self._passed >= LOST_AFTER else (0, 1)
        around = range(max(0, self._next - back), min(self._next + on + 1, len(self._notes)))
        found = [k for k in around if self._is(k, lasts, begun)]
        return min(found, key=lambda k: abs(self.line.at(self._notes[k].onset_quarters) - begun), default=None)

    def _is(self, k: int, lasts: int, begun: int) -> bool:
        note = self._notes[k]
        before = self._notes[k - 1] if k else None
        pitch = self._run[-1].f0_c100
        off = abs(_folded(pitch - note.pitch_c100))
        expected = self.line.at(note.onset_quarters)
        length = expected - self.line.at(before.onset_quarters) if before is not None else expected - self.line.frame
        if before is None:
            length = round(60 * RATE_HZ / self.line.quarters_per_minute)
        if not self.waits and begun < expected - EARLY * length:
            return False
        near = abs(begun - expected) <= NEAR_ENTRY * length
        anew = self._gap_since is not None
        if k > self._next and not ((near or self.waits) and off <= NEAR_C100):
            return False  # a note was left out: only the very next one, in its place
        if before is not None and not anew:
            apart = abs(_folded(note.pitch_c100 - before.pitch_c100))
            if apart < STEADY_C100:
                return False  # the same pitch, and nothing between: nobody can tell
            held_on = abs(_folded(pitch - before.pitch_c100))
            if off <= NEAR_C100 and off < held_on:
                return lasts >= ms_to_frames(BARELY_MS if apart <= 2 * STEADY_C100 else ENTERED_MS)
            return near and held_on > NEAR_C100 and lasts >= ms_to_frames(BARELY_MS)
        if off <= NEAR_C100:
            held_on = OCTAVE_C100 if before is None else abs(_folded(pitch - before.pitch_c100))
            told = off < held_on or near or self.waits
            return told and lasts >= ms_to_frames(ENTERED_MS)
        return near and not self.waits and lasts >= ms_to_frames(BARELY_MS)

    def _enter(self, k: int) -> Line:
        note, at = self._notes[k], self._run[0].centre_frame
        qpm = self.line.quarters_per_minute
        if not self.waits and self._next > 0 and at > self.line.frame and note.onset_quarters > self.line.quarters:
            seen = (note.onset_quarters - self.line.quarters) * 60 * RATE_HZ / (at - self.line.frame)
            gain = PERIOD_GAIN * min(Fraction(1), Fraction(at - self.line.frame, TELLING_SECONDS * RATE_HZ))
            new = qpm + gain * (seen - qpm)
            moved, self._trend = new + self._trend, TREND * (new - qpm)
            qpm = min(max(moved, self._counted_qpm * SLOWEST), self._counted_qpm * FASTEST)
        self.line = Line(note.onset_quarters, at, Fraction(round(qpm * 1000), 1000))
        self._next = k + 1
        self._passed = 0
        self._gap_since = None
        self.waits = False
        return self.line


def _folded(difference_c100: int) -> int:
    """The same difference within half an octave."""
    return (difference_c100 + OCTAVE_C100 // 2) % OCTAVE_C100 - OCTAVE_C100 // 2
