"""What sounds in a take: prepared stems, mixed a little ahead of their time, and the commands that change them.

Every command holds from a frame that it gives back, a little later than now: what lies between is on its way already. The player
also says where music time lies (``Anchor`` points on the link's frames): the judge gets its time from there and nowhere else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction

import numpy as np

from audio.block import Samples
from audio.render import limited, risen
from trainer.live.beginning import beginning
from trainer.live.desk import Desk
from trainer.live.mixing import RAMP_SECONDS, Fader, Part, Sounding, for_outputs, mixed
from trainer.live.places_in_time import Begun, MusicTime, Point, Sink
from trainer.live.stems import Stems
from trainer.score.time import TempoMap
from trainer.voices.lead_in import CHORD_SECONDS, FIRST_NOTE_SECONDS, PAUSE_SECONDS
from trainer.voices.tones import FrameAt

AHEAD_SECONDS = 0.5
"""How far ahead of its time sound is laid on the link: a redraw, a flush of the disk and a busy machine together stay below."""

MARGIN_SECONDS = Fraction(6, 100)
"""How far ahead of the link's next callback a command holds; the mixing itself takes a few milliseconds."""

KEY_MARGIN_SECONDS = Fraction(2, 1000)
"""The same for a key that is to sound at once: one piece is mixed and laid within it."""

SOON_SECONDS = Fraction(2, 100)
"""The same where a singer who leads has entered: the others come in as soon as they can be mixed."""

PIECE_SECONDS = 0.1


class Player:
    """Sounds one take, or several after another, on one link.

    Parameters
    ----------
    stems : Stems
    desk : Desk
    """

    def __init__(self, stems: Stems, desk: Desk) -> None:
        self.stems = stems
        self._desk = desk
        self._rate_hz = stems.rate_hz
        self._ramp = round(RAMP_SECONDS * self._rate_hz)
        self._faders = {channel: Fader(desk.gain(channel), self._ramp) for channel in stems.channels()}
        self._parts: list[Part] = []
        self._time = MusicTime(stems.rate_hz)
        self._now = 0
        self._written: int | None = None
        self._risen_from: int | None = None
        self._qpm: Fraction | None = stems.settings.tempo_qpm
        self._begun: Begun | None = None
        self._key_parts: dict[int, Part] = {}
        self._given: list[tuple[int, int, str]] = []
        self._beat_ends: list[Fraction] = []
        self._next_beat_end = 0

    @property
    def desk(self) -> Desk:
        """How the voices stand."""
        return self._desk

    @property
    def begun(self) -> Begun | None:
        """The take that was begun last."""
        return self._begun

    @property
    def tempo(self) -> TempoMap:
        """The tempo in force."""
        return self.stems.tempo(self._qpm)

    @property
    def now_frame(self) -> int:
        """The first frame of the link that nobody can change any more, as far as was looked."""
        return self._now

    def given(self, frame: int) -> str:
        """What is given for pitch at a played frame: "chord", "note" or nothing."""
        return next((kind for begin, end, kind in reversed(self._given) if begin <= frame < end), "")

    @property
    def paused(self) -> bool:
        """Whether music time waits until it is told to go on."""
        return self._time.waiting is not None

    # ---- what goes out

    def write(self, sink: Sink) -> None:
        """Mix and lay on the link whatever is to sound within the next half second."""
        self._now = max(self._now, sink.write_until())
        start = self._now if self._written is None else max(self._written, self._now)
        until = self._now + round(AHEAD_SECONDS * self._rate_hz)
        piece = round(PIECE_SECONDS * self._rate_hz)
        while start < until:
            end = min(start + piece, until)
            if sink.channels_out:
                sink.play(start, for_outputs(self.render(start, end), sink.channels_out))
            start = end
        self._written = until
        self._parts = [part for part in self._parts if part.to_frame + self._ramp > self._now]

    def render(self, from_frame: int, to_frame: int) -> Samples:
        """The mix of both ears in [from, to), float32, shape (to - from, 2), limited and risen from quiet."""
        table = mixed(self._parts, self._faders, from_frame, to_frame, rate_hz=self._rate_hz)
        if self._risen_from is None:
            first = np.flatnonzero(table.any(axis=1))
            if len(first):
                self._risen_from = from_frame + int(first[0])
        if self._risen_from is not None:
            table = table * risen(from_frame, to_frame, self._risen_from, self._rate_hz)[:, None]
        return limited(table)

    # ---- what is begun and ended

    def give_pitch(self) -> int:
        """Key chord and own first note from now on; the frame at which they are over."""
        self.hush()
        at = self._hold()
        at = self._give("chord", self.stems.chord(), at, CHORD_SECONDS) + self._frames(PAUSE_SECONDS)
        return self._give("note", self.stems.first_note(), at, FIRST_NOTE_SECONDS)

    def give_first_note(self) -> int:
        """The own first note alone, beside whatever sounds; the frame at which it is over."""
        return self._give("note", self.stems.first_note(), self._hold(), FIRST_NOTE_SECONDS)

    def give(self, sound: Sounding) -> int:
        """Something to listen to, by itself, from now on; the frame at which it is over."""
        self.hush()
        return self._give("again", sound, self._hold(), Fraction(sound.length_frames, self._rate_hz))

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

    def hush(self) -> int:
        """Everything falls silent from the frame given back on."""
        at = self._hold()
        self._end_parts(at)
        return at

    # ---- keys that are pressed now

    def key_down(self, sink: Sink, midi: int, velocity: int) -> int:
        """The tone of a key as soon as the link can sound it; the frame at which it begins."""
        self._now = max(self._now, sink.write_until())
        at = self._now + self._frames(KEY_MARGIN_SECONDS)
        self.key_up(sink, midi)
        tone = self.stems.key_tone(midi, velocity)
        self._key_parts[midi] = Part("keys", tone, at, at - self._ramp, at + tone.length_frames)
        self._parts.append(self._key_parts[midi])
        self._written = at if self._written is None else min(self._written, at)
        self.write(sink)
        return at

    def key_up(self, sink: Sink, midi: int) -> int:
        """The tone of a key fades; the frame from which it does."""
        self._now = max(self._now, sink.write_until())
        at = self._now + self._frames(KEY_MARGIN_SECONDS)
        part = self._key_parts.pop(midi, None)
        if part is not None and part in self._parts:
            self._parts.remove(part)
            self._parts.append(replace(part, to_frame=max(at, part.zero_frame)))
            self._written = at if self._written is None else min(self._written, at)
        return at

    # ---- what changes while it sounds

    def stand(self, desk: Desk) -> int:
        """Move every fader to *desk*; the frame from which it holds."""
        at = self._hold()
        self._desk = desk
        for channel, fader in self._faders.items():
            fader.move(at, desk.gain(channel))
        return at

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

    def _hold(self, seconds: Fraction = MARGIN_SECONDS) -> int:
        """The frame from which a command given now holds; what was laid beyond it is laid anew."""
        at = self._now + self._frames(seconds)
        if self._written is None:
            return at
        self._written = min(self._written, at)
        return at

    def _end_parts(self, at_frame: int) -> None:
        self._given = [(begin, min(end, at_frame), kind) for begin, end, kind in self._given]
        self._parts = [
            part if part.channel == "keys" else replace(part, to_frame=min(part.to_frame, at_frame))
            for part in self._parts
            if part.channel == "keys" or part.from_frame < at_frame
        ]

    def _give(self, kind: str, rendering: Sounding, at_frame: int, seconds: Fraction) -> int:
        """Lay chord or note; the frame at which it is over."""
        end = at_frame + self._frames(seconds)
        self._given = [*self._given[-3:], (at_frame, end, kind)]
        self._parts.append(Part("pitch", rendering, at_frame, at_frame - self._ramp, end))
        return end

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

    def _frames(self, seconds: Fraction) -> int:
        return round(seconds * self._rate_hz)


def _qpm_at(tempo: TempoMap, quarters: Fraction) -> Fraction:
    return next(qpm for at, qpm in reversed(tempo.points) if at <= quarters or at == 0)
