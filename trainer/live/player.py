"""What sounds in a take: prepared stems laid where their music time is, and the commands that change it.

The player says where music time lies (``Anchor`` points on the link's frames): the judge gets its time from there and nowhere else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction

from trainer.live.beginning import beginning
from trainer.live.desk import Desk
from trainer.live.mixing import Part
from trainer.live.places_in_time import Begun, MusicTime, Point
from trainer.live.sounder import Sounder
from trainer.live.stems import Stems
from trainer.score.time import TempoMap
from trainer.voices.lead_in import CHORD_SECONDS, FIRST_NOTE_SECONDS
from trainer.voices.tones import FrameAt

SOON_SECONDS = Fraction(2, 100)
"""How far ahead a command holds where a singer who leads has entered: the others come in as soon as they can be mixed."""


class Player(Sounder):
    """Sounds one take, or several after another, on one link, and keeps their music time.

    Parameters
    ----------
    stems : Stems
    desk : Desk
    """

    def __init__(self, stems: Stems, desk: Desk) -> None:
        super().__init__(stems, desk)
        self._time = MusicTime(stems.rate_hz)
        self._qpm: Fraction | None = stems.settings.tempo_qpm
        self._begun: Begun | None = None
        self._beat_ends: list[Fraction] = []
        self._next_beat_end = 0

    @property
    def begun(self) -> Begun | None:
        """The take that was begun last."""
        return self._begun

    @property
    def tempo(self) -> TempoMap:
        """The tempo in force."""
        return self.stems.tempo(self._qpm)

    @property
    def paused(self) -> bool:
        """Whether music time waits until it is told to go on."""
        return self._time.waiting is not None

    # ---- what is begun and ended

    def begin(self, *, count_in_bars: int, pitch: str = "chord") -> Begun:
        """First pitch again, counted bars, music.

        Parameters
        ----------
        count_in_bars : int
        pitch : str
            What is given before it; see ``beginning``.
        """
        self.hush()
        self._time.begin_anew()
        tempo, score = self.tempo, self.stems.score
        at, told = self._hold(), beginning(score, self.stems.line_index, tempo, count_in_bars, pitch)
        if told.chord_s is not None:
            self._give("chord", self.stems.chord(), at + self._frames(told.chord_s), CHORD_SECONDS)
        if told.note_s is not None:
            self._give("note", self.stems.first_note(), at + self._frames(told.note_s), FIRST_NOTE_SECONDS)
        count_frame, music_frame = at + self._frames(told.count_s), at + self._frames(told.music_s)
        frame_at = self._frame_at(tempo, Fraction(0), music_frame)
        end_frame = frame_at(score.bars().end_quarters)
        count = self.stems.count(frame_at, count_in_bars)
        self._parts.append(Part("count", count, 0, count_frame - self._ramp, music_frame))
        self._lay_music(tempo, Fraction(0), music_frame, from_frame=music_frame - self._ramp)
        self._begun = Begun(count_frame, music_frame, end_frame)
        self._beat_ends = [onset + length for onset, length in score.bars().beats()]
        self._next_beat_end = 0
        return self._begun

    # ---- what changes while it sounds

    def change_tempo(self, qpm: Fraction) -> int | None:
        """Take the music at *qpm* (of its first mark) from the next beat on; None while no music runs."""
        self._qpm = qpm
        found = self._next_beat()
        if found is None:
            return None
        frame, quarters = found
        self._end_parts(frame)
        self._lay_music(self.tempo, quarters, frame, from_frame=frame)
        return frame

    def pause(self) -> int | None:
        """Music time waits from the next beat on, and nothing sounds; None while no music runs."""
        found = self._next_beat()
        if found is None:
            return None
        frame, quarters = found
        self._end_parts(frame)
        self._time.wait(frame, quarters)
        return frame

    def resume(self) -> int | None:
        """One bar is counted and the music goes on where it waited; the frame at which it does. None when it does not wait."""
        waiting = self._time.waiting
        if waiting is None:
            return None
        quarters = waiting.quarters
        meter = self.stems.score.bars().at(quarters).meter
        tempo = self.tempo
        bar_s = meter.bar_quarters * 60 / _qpm_at(tempo, quarters)
        frame = max(self._hold(), waiting.frame) + self._frames(bar_s)

        def at(place: Fraction) -> int:
            return frame - self._frames((quarters - place) * 60 / _qpm_at(tempo, quarters))

        count = self.stems.count_to(at, quarters)
        self._parts.append(Part("count", count, 0, frame - self._frames(bar_s) - self._ramp, frame))
        self._lay_music(tempo, quarters, frame, from_frame=frame)
        return frame

    # ---- a singer who leads

    def wait_at(self, quarters: Fraction) -> int | None:
        """Music time waits when it comes to *quarters*, and nothing sounds until it goes on; None where it is there already."""
        if self._begun is None or self.paused:
            return None
        frame = self._time.frame_of(quarters)
        if frame < self._hold():
            return None
        self._end_parts(frame)
        self._time.wait(frame, quarters)
        return frame

    def bend(self, bent: Callable[[Fraction, int], list[Point]]) -> int | None:
        """Music time runs otherwise, as soon as it can be mixed; where it waits, it goes on. The frame; None while no music runs.

        *bent* makes of the place and the frame at which it is to begin the points from there on.
        """
        if self._begun is None:
            return None
        waiting = self._time.waiting
        hold = max(self._hold(SOON_SECONDS), 0 if waiting is None else waiting.frame)
        here = self._time.quarters(hold) if waiting is None else waiting.quarters
        points = bent(here or Fraction(0), hold)
        self._end_parts(hold)
        self._time.go_on(points)
        self._sound_music(self._time.frame_of, hold)
        return hold

    # ---- where music time lies

    def points(self) -> Iterator[Point]:
        """Points whose time has come since this was last asked; the first of a take comes at once."""
        return self._time.due(self._now)

    def quarters(self, frame: int) -> Fraction | None:
        """Music time at a played frame, negative while bars are counted; None when nothing was begun."""
        return self._time.quarters(frame)

    def stands_still(self, frame: int) -> bool:
        """Whether music time waits at a played frame: in a pause, and while a bar is counted after it."""
        here = self._time.in_force(frame)
        return here is None or here.quarters_per_minute == 0

    def beats_passed(self) -> Iterator[Point]:
        """Each beat of the music once its time has come, as a point: what tells a keyed take that time has gone by."""
        if self._begun is None or self.paused:
            return
        beats = self._beat_ends
        while self._next_beat_end < len(beats):
            quarters = beats[self._next_beat_end]
            frame = self._time.frame_of(quarters)
            if frame > self._now:
                return
            self._next_beat_end += 1
            yield Point(frame, quarters, _qpm_at(self.tempo, quarters))

    def _next_beat(self) -> tuple[int, Fraction] | None:
        """Frame and place of the first beat at or after the earliest frame at which a command can hold."""
        if self._begun is None or self.paused:
            return None
        hold = self._hold()
        if hold < self._begun.music_frame:
            return None
        now = self.quarters(hold) or Fraction(0)
        for quarters, _ in self.stems.score.bars().beats():
            frame = self._time.frame_of(quarters)
            if frame >= hold and quarters >= now:
                return frame, quarters
        return None

    def _lay_music(self, tempo: TempoMap, quarters: Fraction, frame: int, *, from_frame: int) -> None:
        """Every voice from *quarters*, which lies at *frame*, to the end; music time follows it."""
        at = self._frame_at(tempo, quarters, frame)
        self._sound_music(at, from_frame)
        marks = [(quarters, _qpm_at(tempo, quarters)), *(mark for mark in tempo.points if mark[0] > quarters)]
        self._time.go_on(Point(at(place), place, qpm) for place, qpm in marks)

    def _sound_music(self, at: FrameAt, from_frame: int) -> None:
        end = at(self.stems.score.bars().end_quarters)
        for channel, rendering in self.stems.music(at).items():
            self._parts.append(Part(channel, rendering, 0, from_frame, max(end, rendering.length_frames)))
        if self._begun is not None:
            self._begun = Begun(self._begun.count_frame, self._begun.music_frame, end)

    def _frame_at(self, tempo: TempoMap, quarters: Fraction, frame: int) -> FrameAt:
        base = tempo.seconds(quarters)

        def at(place: Fraction) -> int:
            return frame + self._frames(tempo.seconds(place) - base)

        return at


def _qpm_at(tempo: TempoMap, quarters: Fraction) -> Fraction:
    return next(qpm for at, qpm in reversed(tempo.points) if at <= quarters or at == 0)
