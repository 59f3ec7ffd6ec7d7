"""What our loudspeaker sounded beside a recording, on the recording's own axis: a file, or voices of the score.

Live, both come from the link in one block; here they are brought together, and from there on it is the same code. A recording says
nothing of its room, so it is heard once to learn that and a second time to be judged.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from audio.block import Block
from audio.canceller._leftover import UNTRIED_DB
from audio.canceller.learn import LONGEST_DELAY_SECONDS, learnt
from audio.canceller.past import Past
from audio.canceller.path import EchoPath
from audio.canceller.stage import Canceller
from audio.canceller.tracking import CancellingTracker
from audio.heard import Gap, PitchFrame
from audio.pitch import DEFAULT_TRACKER, TRACKERS
from audio.resample import Resampler
from audio.soundfile_io import read_blocks
from audio.units import RATE_HZ
from trainer.errors import SettingError
from trainer.takes.place import clocks_apart, place_anywhere, places_near
from trainer.takes.quicker import as_heard

if TYPE_CHECKING:
    from trainer.practice.settings import Settings
    from trainer.score.model import Score

EARLIER_SECONDS = Fraction(2, 5)
"""The moment given may be so much too late; up to half a second too early is found as well."""

ROOM_SECONDS = 20
"""So long has most notes of an exercise in it, and is learnt from in two or three seconds."""

RENDERED_HZ = 48_000

FAR_OFF_SECONDS = 60
"""So far to each side of the moment given our own sound is looked for where it is not there."""

SURE_SECONDS = 8
"""In less our own sound may go unheard beside a singer as loud."""

LEAST_SOUNDING = 1e-4

Floats = NDArray[np.float64]

Blocks = Callable[[], Iterator[Block]]
"""The same sound from its beginning, as often as it is asked for."""


@dataclass(frozen=True, slots=True)
class TakenAway:
    """What became of our own sound in a recording.

    Parameters
    ----------
    delay_ms : float or None
        Between the moment given and the echo; negative where it came earlier. None where our own sound was not found.
    by_db : float or None
        How much softer it is now.
    drift_ppm : float
    brief : bool
        The two sounded together for a few seconds only, in which our own sound might go unheard.
    """

    delay_ms: float | None
    by_db: float | None
    drift_ppm: float
    brief: bool = False

    def words(self) -> str:
        """For people."""
        if self.delay_ms is None or self.by_db is None:
            brief = ", but a few seconds are too short to be sure" if self.brief else ""
            return f"What was played is not heard in this recording{brief}; nothing was taken away."
        late = f"{_time(abs(self.delay_ms))} {'late' if self.delay_ms >= 0 else 'early'}"
        drift = f", its clock {abs(self.drift_ppm):.0f} in a million off" if abs(self.drift_ppm) >= 10 else ""
        return f"What was played was heard {late}{drift} and taken away: {self.by_db:.0f} dB softer."


def _time(ms: float) -> str:
    return f"{ms:.0f} ms" if ms < 1000 else f"{ms / 1000:.2f} s"


class PlayedBeside:
    """A recording with what was played beside it.

    Parameters
    ----------
    recording : path
    played : callable
        Gives the blocks of what was played, one channel "mic1", from its own frame 0.
    played_at_s : Fraction
        Second of the recording at which that began.
    nobody_before_s : Fraction
        Until then nobody is asked to sing.
    """

    def __init__(self, recording: str, played: Blocks, played_at_s: Fraction, nobody_before_s: Fraction) -> None:
        self._recording, self._played = recording, played
        self._offset = round((played_at_s - EARLIER_SECONDS) * RATE_HZ)
        self._moved_frames = self._together_frames = 0
        self._nobody_before = round(nobody_before_s * RATE_HZ)
        self.taken_away = TakenAway(None, None, 0.0)

    def heard(self, *, line: int = 0) -> Iterator[PitchFrame | Gap]:
        """Every estimate of what is left, in time order. Raises SoundFileError where a file cannot be read."""
        path = self._first_path()
        if path is None and self._moved():
            path = self._first_path()
        maker = TRACKERS.load("audio.pitch")[DEFAULT_TRACKER]
        if path is None:
            self.taken_away = replace(self.taken_away, brief=0 < self._together_frames < SURE_SECONDS * RATE_HZ)
            tracker = maker(line=line, channel="mic1")
            for block in as_heard(self._blocks()):
                yield from tracker.feed(block)
            yield from tracker.flush()
            return
        canceller = Canceller(path=path, nobody=self._nobody)
        for block in as_heard(self._blocks()):
            canceller.feed(block)
        canceller.rewind()
        listening = CancellingTracker(canceller, maker, line=line)
        softer = []
        for block in self._blocks():
            yield from listening.feed(block)
            if canceller.taken_db is not None:
                softer.append(canceller.taken_db)
        yield from listening.flush()
        if softer:
            early = float(EARLIER_SECONDS) * 1000
            delay_ms = (path.delay_frames + self._moved_frames) * 1000 / RATE_HZ - early
            self.taken_away = TakenAway(delay_ms, float(np.median(softer)), canceller.drift_ppm)

    def _nobody(self, frame: int) -> bool:
        return frame < self._nobody_before

    def _blocks(self) -> Iterator[Block]:
        return beside(read_blocks(self._recording), self._played(), self._offset)

    def _moved(self) -> bool:
        """Whether our own sound lies far from the moment given; then it is looked for there from now on."""
        played, first = _first_seconds(self._played())
        begin = self._offset + first - FAR_OFF_SECONDS * RATE_HZ
        heard, begins, ends = _window(
            read_blocks(self._recording), begin, begin + 2 * FAR_OFF_SECONDS * RATE_HZ + len(played)
        )
        found = place_anywhere(played, heard, begins, ends)
        if found is None:
            return False
        moved = found - FAR_OFF_SECONDS * RATE_HZ - round(EARLIER_SECONDS * RATE_HZ)
        self._offset += moved
        self._moved_frames += moved
        return True

    def _first_path(self) -> EchoPath | None:
        """The room from the first seconds in which our own sound is heard."""
        count = ROOM_SECONDS * RATE_HZ
        past, sounding = Past(count, 0), 0
        for block in self._blocks():
            heard, played = np.nan_to_num(block.channel("mic1")), block.channel("played1")
            if not sounding and not np.any(np.abs(played) > LEAST_SOUNDING):
                past = Past(count, block.end_frame)
                continue
            past.add(heard, played)
            sounding += len(heard)
            self._together_frames += len(heard)
            if sounding < count:
                continue
            found = _path_in(past, block.end_frame)
            if found is not None:
                return found
            sounding = count // 2
        return _path_in(past, past.end_frame) if sounding else None


def _path_in(past: Past, end_frame: int) -> EchoPath | None:
    heard, played = past.until(end_frame)
    longest = round((float(EARLIER_SECONDS) + LONGEST_DELAY_SECONDS) * RATE_HZ)
    places = places_near(played, heard, longest)
    if not places:
        return None
    drift = clocks_apart(places)
    delay = round(float(np.median([found - drift * begin for begin, found in places])))
    path = learnt(played, heard, delay, drift_ppm=drift * 1e6)
    # music has not every frequency: how well it fits itself is not how well the room is known
    return replace(path, left_db=UNTRIED_DB)


def _first_seconds(played: Iterable[Block]) -> tuple[Floats, int]:
    """ROOM_SECONDS of what was played, from its first sound on, and the frame of that."""
    kept: list[Floats] = []
    first = 0
    for block in _at_rate(played):
        if kept or np.any(np.abs(block.samples[:, 0]) > LEAST_SOUNDING):
            first = first if kept else block.start_frame
            kept.append(block.samples[:, 0].astype(np.float64))
            if block.end_frame - first >= ROOM_SECONDS * RATE_HZ:
                break
    return np.concatenate(kept or [np.zeros(0)]), first


def _window(recording: Iterable[Block], from_frame: int, to_frame: int) -> tuple[Floats, int, int]:
    """A recording between two frames at ``RATE_HZ``, 0 where it has no sound; and from where to where in there it has some."""
    out, first, end = np.zeros(to_frame - from_frame), to_frame, from_frame
    for block in _at_rate(recording):
        begin, stop = max(block.start_frame, from_frame), min(block.end_frame, to_frame)
        if begin < stop:
            part = block.samples[begin - block.start_frame : stop - block.start_frame, 0]
            out[begin - from_frame : stop - from_frame] = np.nan_to_num(part)
            first, end = min(first, begin), max(end, stop)
        if block.end_frame >= to_frame:
            break
    return out, first - from_frame, end - from_frame


def beside(recording: Iterable[Block], played: Iterable[Block], offset_frames: int) -> Iterator[Block]:
    """Both at ``RATE_HZ`` in one block, "mic1" and "played1".

    Parameters
    ----------
    recording, played : iterables of Block
        Each with a channel "mic1".
    offset_frames : int
        Frame of the recording, at ``RATE_HZ``, at which frame 0 of what was played lies.
    """
    source = _at_rate(played)
    waiting = np.zeros(0, np.float32)
    waiting_from = offset_frames
    for block in _at_rate(recording):
        count = len(block.samples)
        while waiting_from + len(waiting) < block.end_frame:
            more = next(source, None)
            if more is None:
                break
            waiting = np.concatenate((waiting, more.samples[:, 0]))
        table = np.zeros((count, 2), np.float32)
        table[:, 0] = block.samples[:, 0]
        first = block.start_frame - waiting_from
        piece = waiting[max(first, 0) : max(first + count, 0)]
        begin = min(max(-first, 0), count)
        table[begin : begin + len(piece), 1] = piece
        spent = min(max(first + count, 0), len(waiting))
        waiting, waiting_from = waiting[spent:], waiting_from + spent
        yield Block(table, ("mic1", "played1"), block.start_frame, RATE_HZ, block.lost_frames_before)


def _at_rate(blocks: Iterable[Block]) -> Iterator[Block]:
    resampler = Resampler("mic1")
    for block in blocks:
        yield from resampler.feed(block)
    yield from resampler.flush()


def file_sounded(path: str) -> Blocks:
    """A file as what was played."""
    return lambda: read_blocks(path)


def voices_sounded(score: Score, which: tuple[int, ...], settings: Settings) -> Blocks:
    """Voices of the score as our own renderer sounds them, from the score's first place on."""
    from trainer.voices.sounding import accompaniment

    if not which:
        raise SettingError("no voice is named", "--played", "name the voices that sounded, as in soprano,alto,bass")

    def blocks() -> Iterator[Block]:
        rendering = accompaniment(score, settings, which=which, rate_hz=RENDERED_HZ).rendering
        at = 0
        for piece in rendering.pieces():
            yield Block(piece.mean(axis=1, keepdims=True, dtype=np.float32), ("mic1",), at, RENDERED_HZ)
            at += len(piece)

    return blocks
