"""What sounds on a link, a little ahead of its time: parts laid and mixed, pitches given, keys that are pressed. Nothing of music time.

Every command holds from a frame that it gives back, a little later than now: what lies between is on its way already.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np

from audio.block import Samples
from audio.render import limited, risen
from trainer.live.desk import Desk
from trainer.live.mixing import RAMP_SECONDS, Fader, Part, Sounding, for_outputs, mixed
from trainer.live.places_in_time import Sink
from trainer.live.stems import Stems
from trainer.voices.lead_in import CHORD_SECONDS, FIRST_NOTE_SECONDS, PAUSE_SECONDS

AHEAD_SECONDS = 0.5
"""How far ahead of its time sound is laid on the link: a redraw, a flush of the disk and a busy machine together stay below."""

MARGIN_SECONDS = Fraction(6, 100)
"""How far ahead of the link's next callback a command holds; the mixing itself takes a few milliseconds."""

KEY_MARGIN_SECONDS = Fraction(2, 1000)
"""The same for a key that is to sound at once: one piece is mixed and laid within it."""

PIECE_SECONDS = 0.1


class Sounder:
    """Sounds parts on one link.

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
        self._now = 0
        self._written: int | None = None
        self._risen_from: int | None = None
        self._key_parts: dict[int, Part] = {}
        self._given: list[tuple[int, int, str]] = []

    @property
    def desk(self) -> Desk:
        """How the voices stand."""
        return self._desk

    @property
    def now_frame(self) -> int:
        """The first frame of the link that nobody can change any more, as far as was looked."""
        return self._now

    def given(self, frame: int) -> str:
        """What is given for pitch at a played frame: "chord", "note" or nothing."""
        return next((kind for begin, end, kind in reversed(self._given) if begin <= frame < end), "")

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

    # ---- what is given, and silence

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

    def hush(self) -> int:
        """Everything falls silent from the frame given back on."""
        at = self._hold()
        self._end_parts(at)
        return at

    def stand(self, desk: Desk) -> int:
        """Move every fader to *desk*; the frame from which it holds."""
        at = self._hold()
        self._desk = desk
        for channel, fader in self._faders.items():
            fader.move(at, desk.gain(channel))
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

    # ---- how it is laid

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

    def _frames(self, seconds: Fraction) -> int:
        return round(seconds * self._rate_hz)
