"""Any rate to ``RATE_HZ``, one channel, at once.

Output frame n is the sound at n / 24000 s after the stream's frame 0, exactly: each output is its own weighted sum of the
input around that instant, so there is no delay to make good, nothing accumulates, and the cutting into blocks cannot
matter. The weights are a Kaiser-windowed sinc in as many phases as the two rates need.

Why not a library stream: soxr's holds back 38 ms of a 48 kHz stream at its high setting and 20 ms at its low one
(measured, version 1.1), since it works in blocks; this one waits for 0.7 ms. soxr is the judge of the sound in
``tests/audio/test_resample.py``.

Sources: polyphase form, Crochiere & Rabiner (1983), chapter 3; Kaiser window and its length, Kaiser (1974), as in
Oppenheim & Schafer, "Discrete-Time Signal Processing", section 7.5 (from memory).
"""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from audio.block import Block, Samples
from audio.compiled import Step
from audio.errors import SignalError
from audio.units import RATE_HZ

Floats = NDArray[np.float64]
Piece = tuple[Samples, int, int]
"""Sound of shape (n,), its first frame, and the frames lost before it, at ``RATE_HZ``."""

HALF_TAPS = 16
"""Lobes of the sinc on each side, at the lower of the two rates. With KAISER_BETA: flat to 0.86 of the band."""
KAISER_BETA = 7.0  # 70 dB down outside
ROWS_AT_ONCE = 2048  # 1 MB of products at 48 kHz


def _phases(rate_hz: int) -> tuple[Floats, int]:
    """Weights, shape (phases, taps), each row summing to 1, and half the number of taps in input frames."""
    step = math.gcd(rate_hz, RATE_HZ)
    phases = RATE_HZ // step
    shrink = min(1.0, RATE_HZ / rate_hz)
    half = math.ceil(HALF_TAPS / shrink)
    offsets = np.arange(1 - half, half + 1)[None, :] - (np.arange(phases) / phases)[:, None]
    inside = np.clip(1.0 - (offsets / half) ** 2, 0.0, 1.0)
    weights = np.sinc(offsets * shrink) * np.i0(KAISER_BETA * np.sqrt(inside))
    return weights / weights.sum(axis=1, keepdims=True), half


class Resampler:
    """A stage from blocks at any one rate to one channel at ``RATE_HZ``.

    Samples that are not numbers count as 0. Where frames were lost (``lost_frames_before``, or a jump of
    ``start_frame``) the sound before is played out into silence, the sound after starts from silence, and the block given
    after the loss carries ``lost_frames_before`` at ``RATE_HZ``.

    Parameters
    ----------
    channel : str
        The channel taken out of each block.

    Attributes
    ----------
    wrong : int
        How many samples of the last block were no numbers.
    """

    def __init__(self, channel: str = "mic1") -> None:
        self.channel = channel
        self._rate_hz = 0
        self.reset()

    @property
    def latency_frames(self) -> int:
        """Frames at ``RATE_HZ`` that an output waits for after its own instant; 0 until the first block."""
        return 0 if self._rate_hz in (0, RATE_HZ) else math.ceil(Fraction(self._half * RATE_HZ, self._rate_hz))

    def reset(self) -> None:
        """As new, for a stream of any rate."""
        self._rate_hz = 0
        self._half = 0
        self._weights = np.ones((1, 1))
        self._held = np.zeros(0)  # input not yet done with
        self._held_from = 0  # its first frame, at the input's rate
        self._next_in: int | None = None  # the input frame that should come next
        self._next_out = 0
        self._lost_out = 0  # said with the next block given
        self.wrong = 0

    def feed(self, block: Block) -> list[Block]:
        """Output that this block makes known, in at most two blocks (before and after a loss).

        Raises
        ------
        SignalError
            If the rate changes within a stream.
        KeyError
            If the block does not have the channel.
        """
        return [self._block(piece) for piece in self.pieces(block)]

    def flush(self) -> list[Block]:
        """The last output, up to the end of the input, which is taken to be followed by silence."""
        return [self._block(piece) for piece in self.last_pieces()]

    def pieces(self, block: Block) -> list[Piece]:
        """As ``feed``, without a block around each piece."""
        self._open(block.rate_hz)
        out = []
        if self._next_in != block.start_frame or block.lost_frames_before:
            before = self._next_out
            out += self._drain()
            self._begin(block.start_frame)
            if self._next_in is not None:
                self._lost_out = max(self._next_out - before - sum(len(piece[0]) for piece in out), 1)
        self._next_in = block.end_frame
        held, sound = len(self._held), np.asarray(block.channel(self.channel), dtype=np.float32)
        longer = np.empty(held + len(sound))
        longer[:held] = self._held
        self.wrong = TAKEN.now(sound, longer[held:])
        self._held = longer
        ready = self._held_from + len(longer) - self._half  # an output needs `half` frames after its own
        return out + self._give(-(-ready * RATE_HZ // self._rate_hz))

    def last_pieces(self) -> list[Piece]:
        """As ``flush``, without a block around each piece."""
        return self._drain()

    def _block(self, piece: Piece) -> Block:
        sound, start_frame, lost = piece
        return Block(sound[:, None], (self.channel,), start_frame, RATE_HZ, lost_frames_before=lost)

    def _open(self, rate_hz: int) -> None:
        if self._rate_hz not in (0, rate_hz):
            raise SignalError(
                f"the sound changed its rate from {self._rate_hz} to {rate_hz} Hz",
                do="start a new take for the new rate",
            )
        if self._rate_hz == 0:
            self._rate_hz = rate_hz
            if rate_hz != RATE_HZ:
                self._weights, self._half = _phases(rate_hz)

    def _begin(self, start_frame: int) -> None:
        self._held = np.zeros(self._half)
        self._held_from = start_frame - self._half
        self._next_out = -(-start_frame * RATE_HZ // self._rate_hz)

    def _drain(self) -> list[Piece]:
        if self._next_in is None:
            return []
        self._held = np.concatenate((self._held, np.zeros(self._half)))
        return self._give(-(-self._next_in * RATE_HZ // self._rate_hz))

    def _give(self, until_out: int) -> list[Piece]:
        """Outputs up to ``until_out``, and forget the input that no later output needs."""
        if until_out <= self._next_out:
            return []
        sound = np.empty(until_out - self._next_out, dtype=np.float32)
        RESAMPLED.now(self._held, self._held_from, self._weights, self._half, self._rate_hz, self._next_out, sound)
        piece = sound, self._next_out, self._lost_out
        self._lost_out = 0
        self._next_out = until_out
        used = until_out * self._rate_hz // RATE_HZ + 1 - self._half - self._held_from
        used = max(0, min(used, len(self._held)))
        self._held = self._held[used:]
        self._held_from += used
        return [piece]


def _taken(sound: Samples, out: Floats) -> int:
    """*sound* into *out*, 0 for what is no number; how many such there were."""
    out[:] = sound
    good = np.isfinite(out)
    count = len(out) - int(np.count_nonzero(good))
    if count:
        out[~good] = 0.0
    return count


def _resampled(
    held: Floats, held_from: int, weights: Floats, half: int, rate_hz: int, first_out: int, out: Samples
) -> None:
    """Output frames from *first_out* on into *out*."""
    for begin in range(0, len(out), ROWS_AT_ONCE):
        piece = out[begin : begin + ROWS_AT_ONCE]
        at = np.arange(first_out + begin, first_out + begin + len(piece), dtype=np.int64) * rate_hz
        first = at // RATE_HZ + 1 - half - held_from
        taps, item = weights.shape[1], held.itemsize
        if rate_hz == RATE_HZ:
            piece[:] = held[first[0] - 1 : first[0] - 1 + len(piece)]
        elif len(weights) == 1:  # a whole multiple of RATE_HZ: the windows need not be copied together
            step = rate_hz // RATE_HZ
            windows: Floats = np.ndarray((len(at), taps), np.float64, held, first[0] * item, (step * item, item))
            piece[:] = (windows * weights).sum(axis=1)
        else:
            windows = np.ndarray((len(held) - taps + 1, taps), np.float64, held, 0, (item, item))
            products = windows[first] * weights[at % RATE_HZ // math.gcd(rate_hz, RATE_HZ)]
            piece[:] = products.sum(axis=1)


TAKEN = Step(_taken, "audio.compiled", "taken")
RESAMPLED = Step(_resampled, "audio.compiled", "resampled")
