"""A tracker of one voice: combs for the grid, a short path for the octave, whole periods for the cents.

Every ``HOP_FRAMES`` one estimate, decided ``latency_frames`` after its centre at the latest:

1. ``_salience``: the strength of each pitch of a grid in a window of 56 ms, above ``_floor``, the noise; octaves are told
   apart by what lies between the harmonics;
2. ``_path``: the likeliest way over the grid, at once where it is clear, four hops late at most;
3. ``_refine``: the exact pitch, and how much of the sound it explains, from 34 ms of a
   clear voice (4 periods at least) to 70 ms of one in noise;
4. ``_voicing``: whether that is a voice, or one that begins there (``_rising``);
5. ``_above``: whether it is a whistle an octave above the grid.

Hops lie on multiples of ``HOP_FRAMES`` since the stream began, each is computed from its own sound, and whatever is
carried on is carried from hop to hop, so the cutting into blocks cannot matter.

Measured by ``tests/bench/pitch/run.py``, whose table with every condition and peer stands in DEVELOPERS.md. On steady tones in
white noise 20 dB down the cents are within 1.2 times the Cramér-Rao bound for the sound used.

What it cannot do: below F sharp 2 a tone of no more than two harmonics, 1 and 3 or 1 and a louder 2, may be heard at its
upper one, since 56 ms hold too few periods to part them; nor a voice at C2 through a telephone. A voice of two or three
harmonics in white noise 30 dB down strays by up to 50 cents in single frames, in the median by 5 at most.
"""

from __future__ import annotations

import numpy as np

from audio.block import Block, Samples
from audio.errors import SettingError
from audio.heard import Gap, PitchFrame
from audio.pitch import TRACKERS, Besides, nothing_besides
from audio.pitch._above import Above
from audio.pitch._door import Door, Stretch
from audio.pitch._path import LAG_HOPS, SOON_STRENGTHS, Path, States
from audio.pitch._periods import PERIODS
from audio.pitch._refine import HALF_FRAMES, refine, window_seconds
from audio.pitch._rising import AHEAD_FRAMES
from audio.pitch._salience import Salience
from audio.pitch._voicing import Voicing
from audio.units import RATE_HZ

HOP_FRAMES = 120
BEHIND_FRAMES = AHEAD_FRAMES + (LAG_HOPS + 1) * HOP_FRAMES + HALF_FRAMES
LOWEST_HZ, HIGHEST_HZ = 60.0, 1500.0  # four periods must fit into the latency; a comb needs three teeth
SOONEST_CENTS = 6900.0 + 1200.0 * np.log2(
    90.0 / 440.0
)  # four periods of what a first look makes of lower ones end after AHEAD_FRAMES
ROOM_FRAMES = 16_384  # for the sound that is held, which is moved to the front when they are full
HOPS_AT_ONCE = 64  # about 2 MB of work space


_SILENCE = np.zeros(BEHIND_FRAMES, dtype=np.float32)


class CombTracker:
    """See the module. A ``Tracker``.

    Parameters
    ----------
    line : int
        Written into each frame.
    channel : str
        The channel listened to.
    lowest_hz, highest_hz : float
        Limits of the search, within LOWEST_HZ and HIGHEST_HZ. Narrower ones keep other voices out. A whistle above them is
        told where it is, see ``_above``.
    besides : Besides
        What a pitch has to stand out of.

    Raises
    ------
    SettingError
        If the limits are outside those, or less than a semitone apart.
    """

    hop_frames = HOP_FRAMES
    latency_frames = AHEAD_FRAMES + LAG_HOPS * HOP_FRAMES + 48  # the resampler's reach at 8 kHz

    def __init__(
        self,
        line: int = 0,
        channel: str = "mic1",
        *,
        lowest_hz: float = 65.0,
        highest_hz: float = 1100.0,
        besides: Besides = nothing_besides,
    ) -> None:
        if not (lowest_hz >= LOWEST_HZ and lowest_hz * 2 ** (1 / 12) <= highest_hz <= HIGHEST_HZ):
            raise SettingError(
                f"a pitch cannot be sought from {lowest_hz:g} to {highest_hz:g} Hz",
                do=f"give limits from {LOWEST_HZ:g} to {HIGHEST_HZ:g} Hz, the second at least a semitone above the first",
            )
        self._line = line
        self._lowest_hz, self._highest_hz = lowest_hz, highest_hz
        self._besides = besides
        self._above = Above(highest_hz)
        self._door = Door(channel)
        self.reset()

    def reset(self) -> None:
        """As new."""
        self._door.reset()
        self._salience = Salience(self._lowest_hz, self._highest_hz)
        self._voicing = Voicing(self._lowest_hz, self._highest_hz)
        self._end = -1  # frame after the last sound; -1 before any
        self._begin(0)

    def feed(self, block: Block) -> list[PitchFrame | Gap]:
        """Estimates that this block makes known."""
        return [heard for stretch in self._door.feed(block) for heard in self._take(stretch)]

    def flush(self) -> list[PitchFrame | Gap]:
        """Estimates up to the end of the sound."""
        out = [heard for stretch in self._door.flush() for heard in self._take(stretch)]
        return out + self._finish()

    def _begin(self, start_frame: int) -> None:
        """A new unbroken stretch: silence before it, and its first hop at or after its start."""
        self._path = Path(len(self._salience.cents), int(np.searchsorted(self._salience.cents, SOONEST_CENTS)))
        self._strengths = np.empty((LAG_HOPS + HOPS_AT_ONCE, len(self._salience.cents)))  # of the hops not yet decided
        self._keeps = np.empty(LAG_HOPS + HOPS_AT_ONCE)  # of the same hops, what the room keeps
        self._undecided = 0
        self._sound, self._length = np.empty(ROOM_FRAMES), 0
        self._sound_from = start_frame - BEHIND_FRAMES
        self._next_hop = -(-start_frame // HOP_FRAMES)  # the next for the candidates
        self._next_decided = self._next_hop
        self._add(_SILENCE)

    def _add(self, sound: Samples) -> None:
        """More sound, at the end of what is held; what no hop asks for any more goes when there is no room."""
        if self._length + len(sound) > len(self._sound):
            spent = max(self._next_hop * HOP_FRAMES - BEHIND_FRAMES - self._sound_from, 0)
            kept = self._sound[spent : self._length]
            self._sound = np.empty(max(ROOM_FRAMES, 2 * (len(kept) + len(sound))))
            self._sound[: len(kept)] = kept
            self._sound_from, self._length = self._sound_from + spent, len(kept)
        self._sound[self._length : self._length + len(sound)] = sound
        self._length += len(sound)

    def _take(self, stretch: Stretch) -> list[PitchFrame | Gap]:
        out: list[PitchFrame | Gap] = []
        if self._end < 0:
            self._begin(stretch.start_frame)
        elif not stretch.joined:
            out += self._finish()
            if stretch.start_frame > self._end:
                out.append(Gap(self._end, stretch.start_frame, "sound was lost"))
            self._begin(stretch.start_frame)
        self._end = stretch.start_frame + len(stretch.sound)
        self._add(stretch.sound)
        return out + self._advance((self._end - AHEAD_FRAMES) // HOP_FRAMES + 1)

    def _finish(self) -> list[PitchFrame | Gap]:
        """The last estimates of a stretch, with silence after it."""
        if self._end < 0:
            return []
        self._add(_SILENCE)
        last = -(-self._end // HOP_FRAMES)
        out = self._advance(last)
        return out + self._decide(self._path.finish()[:, : last - self._next_decided])

    def _advance(self, until_hop: int) -> list[PitchFrame | Gap]:
        out: list[PitchFrame | Gap] = []
        for begin in range(self._next_hop, until_hop, HOPS_AT_ONCE):
            count = min(HOPS_AT_ONCE, until_hop - begin)
            first = begin * HOP_FRAMES - AHEAD_FRAMES - self._sound_from
            strengths = self._strengths[self._undecided : self._undecided + count]
            keeps = self._keeps[self._undecided : self._undecided + count]
            known = None
            if self._besides is not nothing_besides:
                known = self._besides(np.arange(begin, begin + count) * HOP_FRAMES)
            self._salience.hear(self._sound, first, HOP_FRAMES, begin, known, strengths, keeps)
            self._undecided += count
            out += self._decide(self._path.step(strengths))
        self._next_hop = max(self._next_hop, until_hop)
        return out

    def _decide(self, decided: States) -> list[PitchFrame | Gap]:
        states, waited = decided
        count = len(states)
        if not count:
            return []
        first = self._next_decided * HOP_FRAMES
        centres = np.arange(first, first + count * HOP_FRAMES, HOP_FRAMES, dtype=np.int64)
        self._next_decided += count
        cents, strength = self._salience.peaks(self._strengths[:count], states)
        seconds = window_seconds(strength, waited < len(SOON_STRENGTHS))
        fine = refine(self._sound, centres - self._sound_from, cents, seconds, self._keeps[:count])
        self._undecided -= count
        self._strengths[: self._undecided] = self._strengths[count : count + self._undecided]
        self._keeps[: self._undecided] = self._keeps[count : count + self._undecided]
        frames = self._voicing.frames(
            self._line, centres, fine, strength, self._door.bad, self._sound, self._sound_from
        )
        if self._door.bad:
            self._door.forget_bad_before(int(centres[-1]) - HALF_FRAMES)
        return list(self._above.lifted(frames, self._sound, self._sound_from))


TRACKERS.add("comb", CombTracker, __name__)


def frames_used(f0_hz: float) -> float:
    """Frames of sound from which a clear voice at ``f0_hz`` gets its cents, for those who measure against a bound."""
    periods = min(
        PERIODS, key=lambda count: abs(count - f0_hz * float(window_seconds(np.array([99.0]), np.array([False]))[0]))
    )
    return periods * RATE_HZ / f0_hz
