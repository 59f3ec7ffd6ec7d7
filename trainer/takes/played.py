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
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from audio.block import Block
from audio.canceller._leftover import UNTRIED_DB
from audio.canceller.learn import LEAST_DRIFT_PPM, LONGEST_DELAY_SECONDS, NEAR_PEAK, heights, learnt
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
from trainer.takes.quicker import as_heard

if TYPE_CHECKING:
    from trainer.practice.settings import Settings
    from trainer.score.model import Score

EARLIER_SECONDS = Fraction(2, 5)
"""The moment given may be so much too late; up to half a second too early is found as well."""

ROOM_SECONDS = 20
"""So long has most notes of an exercise in it, and is learnt from in two or three seconds."""

RENDERED_HZ = 48_000

PLACE_SECONDS, EDGE_SECONDS = 3, 0.1
FEWEST_SLOPES, STRAIGHT_FRAMES = 6, 2.0
SAME_FRAMES = 48
"""2 ms: what two clocks drift apart in ``ROOM_SECONDS``; a room's first echoes lie farther off."""

TOGETHER, FOR_FEW = 4.0, 8.0
"""*n* stretches show an echo where their mean reaches the first and an nth of the second; a singer alone never did (DEVELOPERS.md)."""

Floats = NDArray[np.float64]
Places = list[tuple[int, int]]
"""Beginning and delay of each stretch in which the echo is found, in frames at ``RATE_HZ``."""

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
    """

    delay_ms: float | None
    by_db: float | None
    drift_ppm: float

    def words(self) -> str:
        """For people."""
        if self.delay_ms is None or self.by_db is None:
            return "What was played is not heard in this recording; nothing was taken away."
        late = f"{abs(self.delay_ms):.0f} ms {'late' if self.delay_ms >= 0 else 'early'}"
        drift = f", its clock {abs(self.drift_ppm):.0f} in a million off" if abs(self.drift_ppm) >= 10 else ""
        return f"What was played was heard {late}{drift} and taken away: {self.by_db:.0f} dB softer."


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
        self._nobody_before = round(nobody_before_s * RATE_HZ)
        self.taken_away = TakenAway(None, None, 0.0)

    def heard(self, *, line: int = 0) -> Iterator[PitchFrame | Gap]:
        """Every estimate of what is left, in time order. Raises SoundFileError where a file cannot be read."""
        path, maker = self._first_path(), TRACKERS.load("audio.pitch")[DEFAULT_TRACKER]
        if path is None:
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
            delay_ms = path.delay_frames * 1000 / RATE_HZ - early
            self.taken_away = TakenAway(delay_ms, float(np.median(softer)), canceller.drift_ppm)

    def _nobody(self, frame: int) -> bool:
        return frame < self._nobody_before

    def _blocks(self) -> Iterator[Block]:
        return beside(read_blocks(self._recording), self._played(), self._offset)

    def _first_path(self) -> EchoPath | None:
        """The room from the first seconds in which our own sound is heard."""
        count = ROOM_SECONDS * RATE_HZ
        past, sounding = Past(count, 0), 0
        for block in self._blocks():
            heard, played = np.nan_to_num(block.channel("mic1")), block.channel("played1")
            if not sounding and not np.any(np.abs(played) > 1e-4):
                past = Past(count, block.end_frame)
                continue
            past.add(heard, played)
            sounding += len(heard)
            if sounding < count:
                continue
            found = _path_in(past, block.end_frame)
            if found is not None:
                return found
            sounding = count // 2
        return _path_in(past, past.end_frame) if sounding else None


def _path_in(past: Past, end_frame: int) -> EchoPath | None:
    heard, played = past.until(end_frame)
    places = _delays(played, heard)
    if not places:
        return None
    drift = _drift(places)
    delay = round(float(np.median([found - drift * begin for begin, found in places])))
    path = learnt(played, heard, delay, drift_ppm=drift * 1e6)
    # music has not every frequency: how well it fits itself is not how well the room is known
    return replace(path, left_db=UNTRIED_DB)


def _drift(places: Places) -> float:
    """Frames a frame by which the echo comes later and later; 0 where its places lie on no line, as the echoes of a room."""
    slopes = [(d2 - d1) / (b2 - b1) for k, (b1, d1) in enumerate(places) for b2, d2 in places[k + 2 :]]
    slope = float(np.median(slopes)) if len(slopes) >= FEWEST_SLOPES else 0.0
    from_line = np.array([found - slope * begin for begin, found in places])
    straight = np.median(np.abs(from_line - np.median(from_line))) <= STRAIGHT_FRAMES
    return slope if straight and abs(slope) * 1e6 >= LEAST_DRIFT_PPM else 0.0


def _delays(played: Floats, heard: Floats) -> Places:
    """Where the echo is found in short stretches, since two clocks smear a long one."""
    count, longest = PLACE_SECONDS * RATE_HZ, round((float(EARLIER_SECONDS) + LONGEST_DELAY_SECONDS) * RATE_HZ)
    rows = []
    for begin in range(0, max(len(played) - count, 0) + 1, count // 2):
        stretch = softly_cut(played[begin : begin + count])
        row = heights(stretch, heard[begin : begin + count + longest], longest)
        if row is not None:
            rows.append((begin, row))
    return together(rows)


def softly_cut(sound: Floats) -> Floats:
    """The sound swelling from nothing and fading: a hard cut is a click in both sounds, which looks like an echo without delay."""
    edge = np.sin(np.linspace(0.0, np.pi / 2, round(EDGE_SECONDS * RATE_HZ))) ** 2
    count = min(len(edge), len(sound) // 2)
    out = sound.copy()
    out[:count] *= edge[:count]
    out[len(out) - count :] *= edge[:count][::-1]
    return out


def together(rows: list[tuple[int, Floats]]) -> Places:
    """The places at the delay that fits all stretches best; none where that fits no better than a singer alone may.

    A chord fits itself at every period of its root, so where one is held, as before the first note, any delay seems to be the echo's.
    Which of them it is, the other stretches say.

    Parameters
    ----------
    rows : list of (int, float64 array)
        Beginning of a stretch, and its ``heights``, all of one length.
    """
    if not rows:
        return []
    high = np.stack([np.pad(row, SAME_FRAMES // 2) for _, row in rows])
    mean = sliding_window_view(high, SAME_FRAMES + 1, axis=1).max(axis=2).mean(axis=0)
    at = int(mean.argmax())
    if mean[at] < TOGETHER + FOR_FEW / len(rows):
        return []
    first = max(at - SAME_FRAMES, 0)
    found = []
    for begin, row in rows:
        near = row[first : at + SAME_FRAMES + 1]
        if near.max() >= NEAR_PEAK:
            found.append((begin, first + int(near.argmax())))
    return found or [(rows[0][0], at)]


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
