"""The first minute at a microphone: a note to hum, a moment of silence while our own voices sound. No question before a result.

Both are told from the link's frames alone. What is learned: that sound goes out and comes in, in which octave this person sings, and
whether the microphone hears our voices.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from audio.block import Block
from audio.curve import PitchStep
from audio.heard import PitchFrame
from audio.render import Rendering, Tone, limited, risen, voice_gain_db
from audio.units import OCTAVE_C100, SEMITONE_C100, c100_to_hz
from trainer.live.delay import Axis, Delay, whole_zero
from trainer.live.hearing import Hearing
from trainer.live.watch import FLOOR_DBFS, PERFECT_SILENCE
from trainer.practice.settings import Settings
from trainer.practice.sinking import references_under
from trainer.score.model import Score, sounding

if TYPE_CHECKING:
    from audio.devices import SoundLink

NOTE_MIDI = 57
"""A3: high for most men and low for most women and children, yet in everybody's reach; whoever takes it an octave off is heard so."""

NOTE_SECONDS = 1.8
HUM_SECONDS = 10.0
STEADY_SECONDS = 0.5
STEADY_C100 = 6_000
CLEAR = 800
VOICES_SECONDS = 1.0
ROOM_SECONDS = 0.4
AFTER_SECONDS = 0.25
OURS_DB = 6.0
"""Our voices are heard where they raise the room by so much; a door or a breath seldom does for a whole second."""

LOOK_SECONDS = 0.02


@dataclass(frozen=True, slots=True)
class Hum:
    """What was hummed.

    Parameters
    ----------
    pitch_c100 : int or None
        None when nothing steady was heard.
    zeros : str
        What to say when the microphone sent only zeros, else "".
    """

    pitch_c100: int | None
    zeros: str = ""

    @property
    def octaves(self) -> int:
        """Own octave against a line written around the note that was sounded."""
        if self.pitch_c100 is None:
            return 0
        return max(-2, min(2, round((self.pitch_c100 - NOTE_MIDI * SEMITONE_C100) / OCTAVE_C100)))

    @property
    def midi(self) -> int | None:
        """The nearest key."""
        return None if self.pitch_c100 is None else round(self.pitch_c100 / SEMITONE_C100)


def hum(link: SoundLink, wait: Callable[[float], None]) -> Hum:
    """Sound the note, then listen until half a second of it, or of any other, was hummed steadily; ten seconds at the most."""
    tone = Tone(
        0,
        round(NOTE_SECONDS * link.rate_hz),
        (PitchStep(0, c100_to_hz(NOTE_MIDI * SEMITONE_C100)),),
        "tuning",
        gain_db=voice_gain_db(2),
    )
    end = _sound(link, [tone])
    rate = link.rate_hz
    listen_from = end + round(AFTER_SECONDS * rate)
    axis = Axis(whole_zero(listen_from, rate), Delay(0, "assumed", rate))
    hearing = Hearing(axis)
    frames: list[PitchFrame] = []
    loudest = 0.0
    while link.alive and hearing.end_frame < listen_from + round(HUM_SECONDS * rate):
        blocks = link.read()
        loudest = max([loudest, *(float(np.abs(block.channel("mic1")).max(initial=0.0)) for block in blocks)])
        frames += [record for record in hearing.feed(blocks) if isinstance(record, PitchFrame)]
        found = steady(frames)
        if found is not None:
            return Hum(found)
        wait(LOOK_SECONDS)
    return Hum(None, PERFECT_SILENCE if loudest == 0.0 else "")


def steady(frames: list[PitchFrame]) -> int | None:
    """Pitch of the last half second when it is one clear voiced tone, else None."""
    if len(frames) < 2:
        return None
    hop = max(1, frames[1].centre_frame - frames[0].centre_frame)
    count = round(STEADY_SECONDS * 24_000 / hop)
    last = frames[-count:]
    if len(last) < count or sum(frame.voiced for frame in last) < count * 9 // 10:
        return None
    pitches = sorted(frame.f0_c100 for frame in last if frame.voiced)
    inner = pitches[len(pitches) // 10 : -len(pitches) // 10 or None]
    clear = sorted(frame.confidence for frame in last if frame.voiced)
    if inner[-1] - inner[0] > STEADY_C100 or clear[len(clear) // 2] < CLEAR:
        return None
    return pitches[len(pitches) // 2]


@dataclass(frozen=True, slots=True)
class Bleed:
    """How our own voices came back: the room before and while they sounded, dBFS."""

    room_dbfs: float
    voices_dbfs: float

    @property
    def heard(self) -> bool:
        """Whether the microphone hears them."""
        return self.voices_dbfs - self.room_dbfs >= OURS_DB


def bleed(
    link: SoundLink, score: Score, own: int, settings: Settings, delay_frames: int, wait: Callable[[float], None]
) -> Bleed:
    """Listen to the room for a moment, then to the first chord of the other voices for a second, nobody singing."""
    rate = link.rate_hz
    room = _level(link, link.write_until(), round(ROOM_SECONDS * rate), wait)
    sounded = references_under(score, settings)
    first = min(line.notes[0].onset_quarters for line in score.lines if line.notes)
    tones = [
        Tone(
            0,
            round(VOICES_SECONDS * rate),
            (PitchStep(0, c100_to_hz(sounded[line][0][0].pitch_c100)),),
            ("soprano", "alto", "tenor", "bass")[min(line, 3)],
            channel=line,
            gain_db=voice_gain_db(len(score.lines)),
        )
        for line, _ in sounding(score, first)
        if line != own
    ]
    end = _sound(link, tones)
    begin = end - round(VOICES_SECONDS * rate) + delay_frames + rate // 10
    return Bleed(room, _level(link, begin, round((VOICES_SECONDS - 0.3) * rate), wait))


def _sound(link: SoundLink, tones: list[Tone]) -> int:
    """Lay tones a moment ahead; the frame at which they end."""
    rendering = Rendering(tones, rate_hz=link.rate_hz)
    at = link.write_until() + link.rate_hz // 10
    length = rendering.length_frames
    if link.channels_out:
        mono = rendering.stems(0, length).sum(axis=1) * risen(0, length, 0, link.rate_hz)
        link.play(at, limited(np.repeat(mono[:, None], link.channels_out, axis=1).astype(np.float32)))
    return at + length


def _level(link: SoundLink, from_frame: int, frames: int, wait: Callable[[float], None]) -> float:
    """Level of the microphone over a stretch that lies ahead, dBFS."""
    power, seen, end = 0.0, 0, from_frame
    while link.alive and end < from_frame + frames:
        for block in link.read():
            end = block.end_frame
            part = _between(block, from_frame, from_frame + frames)
            power += float(np.sum(np.square(part, dtype=np.float64)))
            seen += len(part)
        wait(LOOK_SECONDS)
    return float(10 * np.log10(max(power / max(seen, 1), 10 ** (FLOOR_DBFS / 10))))


def _between(block: Block, from_frame: int, to_frame: int) -> np.ndarray[tuple[int, ...], np.dtype[np.float32]]:
    first = max(from_frame - block.start_frame, 0)
    last = max(to_frame - block.start_frame, 0)
    return np.asarray(block.channel("mic1")[first:last])
