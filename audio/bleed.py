"""Several singers, each at a microphone of their own: what of the others is in it is taken away, and how much is left is told.

A singer is loudest in the own microphone. Wherever one microphone's harmonic stands clearly over all others', its singer sounds there,
and what the others have of it is bleed: the middle of those ratios, band by band and pair by pair, is learnt as the sound goes by. From
what each neighbour's microphone holds, dying away as a room does, follows the most that bleed can be in a bin; only what stands over
that is the singer's own. Nothing is learnt of one voice from the other's pitch, so two on one note are told by their loudness too.

The mask on short-time spectra and its overlap-add: Allen and Rabiner 1977, Proceedings of the IEEE 65. Limits are our own, chosen on
simulated quartets (``tests/bench/quartet/run.py``, development seeds).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from audio.block import Block
from audio.heard import Gap, PitchFrame
from audio.resample import Resampler
from audio.units import RATE_HZ, c100_to_hz

WINDOW_FRAMES, HOP_FRAMES = 2048, 512
"""85 ms tell a bass's harmonics from a neighbour's; the root of a Hann window, before and after, adds up to one at these hops."""

BAND_EDGES_HZ = (60, 250, 500, 1000, 2000, 4000)
"""Between them a neighbour's way to the microphone is taken to be one level: voices beam and rooms swallow more the higher the sound."""

FIRST_DB, MOST_DB, LEAST_DB = -15.0, -9.0, -60.0
"""Bleed of a neighbour before anything is known of it, and its bounds: what is nearer than 9 dB is no microphone of one's own."""

QUANTILE = 0.3
STEP_DB = 0.7
"""How far the middle moves in a hop at most: 23 dB a second."""

DOMINANT = 4.0
"""6 dB over every other microphone: there the neighbour sounds and nobody else does."""

LOUD_SHARE = 3e-3
"""A bin counts within 25 dB of what is strongest in any microphone: under that the others' breath is louder than bleed."""

OVER_BLEED = 8.0
"""8 dB over the middle: in a room single bins of bleed lie so far above it in one of eighty."""

DIES_AWAY = 10**-0.2
"""2 dB a hop, a room of 0.6 s."""

BLEED_SHARE, OWN_SHARE = 0.15, 0.4
"""Of a microphone's power: less than the first left is bleed, more than the second the singer's own, between them nobody can say."""

MORE_THAN_BLEED = 2.5
"""4 dB more than bleed was foreseen to be: a neighbour's note in another corner of the room, or a singer on the same note."""

CLEAR, HARMONICS, LEAST_HARMONICS, TONE_SHARE, KEPT, PRESENT = 600, 8, 2, 0.3, 0.5, 1e-3
"""A clear tone is the singer's own where two of its first eight harmonics, and 30 % of those that are there, stand over all bleed: a root
under a chord of its own overtones has no more."""

AROUND_HOPS, REMEMBERED = 2, 256
QUIET_DB10, SEVERAL_TONES = -1200, range(110, 800)
"""Confidences that the judge takes for several tones at once."""

Spectra = NDArray[np.complex128]
Powers = NDArray[np.float64]


class Bleed:
    """A stage from blocks of several microphones to the same, at ``RATE_HZ``, with the others taken out of each.

    Parameters
    ----------
    channels : sequence of str
        Two or more microphones, one singer each.
    """

    def __init__(self, channels: Sequence[str]) -> None:
        self._channels = tuple(channels)
        count = len(self._channels)
        self._window = np.sqrt(0.5 - 0.5 * np.cos(2 * np.pi * np.arange(WINDOW_FRAMES) / WINDOW_FRAMES))
        bins_hz = np.arange(WINDOW_FRAMES // 2 + 1) * RATE_HZ / WINDOW_FRAMES
        self._band = np.clip(np.searchsorted(BAND_EDGES_HZ, bins_hz, "right") - 1, 0, len(BAND_EDGES_HZ) - 1)
        self._counted = (bins_hz >= BAND_EDGES_HZ[0]) & (bins_hz <= BAND_EDGES_HZ[-1])
        self._members = np.eye(len(BAND_EDGES_HZ))[self._band] * self._counted[:, None]  # bins x bands
        self._bleed_db = np.full((count, count, len(BAND_EDGES_HZ)), FIRST_DB)
        self._learnt = np.zeros((count, count), dtype=bool)
        self.reset()

    @property
    def latency_frames(self) -> int:
        """A window: every sample is part of four spectra."""
        return WINDOW_FRAMES

    def reset(self) -> None:
        """A new stretch of sound; what was learnt of the room stays."""
        count = len(self._channels)
        self._resamplers = [Resampler(channel) for channel in self._channels]
        self._waiting: list[list[Block]] = [[] for _ in self._channels]
        self._begin(0)
        self._told: deque[_Window] = deque(maxlen=REMEMBERED)
        self._lost = 0
        self._started = False
        self._held_power = np.zeros((count, WINDOW_FRAMES // 2 + 1))

    def _begin(self, frame: int) -> None:
        count = len(self._channels)
        # half a window of silence before the first sample, so that it too is part of four spectra
        self._sound = np.zeros((count, WINDOW_FRAMES - HOP_FRAMES))
        self._sum = np.zeros((count, WINDOW_FRAMES))
        self._at = frame - (WINDOW_FRAMES - HOP_FRAMES)  # frame of the first sample held
        self._first = frame
        self._until = frame

    def feed(self, block: Block) -> list[Block]:
        """What this block makes known. Raises KeyError where it has not all the microphones."""
        for waiting, resampler in zip(self._waiting, self._resamplers, strict=True):
            waiting += resampler.feed(block)
        return self._together()

    def flush(self) -> list[Block]:
        """The rest, as if silence followed."""
        for waiting, resampler in zip(self._waiting, self._resamplers, strict=True):
            waiting += resampler.flush()
        return [*self._together(), *self._last()]

    def _together(self) -> list[Block]:
        out: list[Block] = []
        for parts in zip(*self._waiting, strict=True):
            start, lost = parts[0].start_frame, parts[0].lost_frames_before
            if not self._started or start != self._until:
                out += self._last()
                self._begin(start)
                self._lost, self._started = lost, True
            sound = np.concatenate([part.samples for part in parts], axis=1).T
            self._sound = np.concatenate([self._sound, sound], axis=1)
            self._until = start + sound.shape[1]
            out += self._whole_windows()
        self._waiting = [[] for _ in self._channels]
        return out

    def _last(self) -> list[Block]:
        """What a stretch still owes, silence following it."""
        if not self._started or self._until == self._first:
            return []
        end = self._until
        pad = np.zeros((len(self._channels), WINDOW_FRAMES + HOP_FRAMES))
        self._sound = np.concatenate([self._sound, pad], axis=1)
        given = [block for block in self._whole_windows() if block.start_frame < end]
        self._started = False
        return [_up_to(block, end) for block in given]

    def _whole_windows(self) -> list[Block]:
        pieces: list[NDArray[np.float64]] = []
        begun = self._at
        while self._sound.shape[1] >= WINDOW_FRAMES:
            pieces.append(self._one_window(self._sound[:, :WINDOW_FRAMES]))
            self._sound = self._sound[:, HOP_FRAMES:]
            self._at += HOP_FRAMES
        if not pieces:
            return []
        samples = np.concatenate(pieces, axis=1)[:, max(0, self._first - begun) :]
        if not samples.shape[1]:
            return []
        lost, self._lost = self._lost, 0
        start = max(begun, self._first)
        return [Block(samples.T.astype(np.float32), self._channels, start, RATE_HZ, lost_frames_before=lost)]

    def _one_window(self, sound: NDArray[np.float64]) -> NDArray[np.float64]:
        """The hop that is whole once this window is added, others taken out; shape (channels, HOP_FRAMES)."""
        spectra: Spectra = np.fft.rfft(sound * self._window, axis=1)
        power: Powers = spectra.real**2 + spectra.imag**2
        self._learn(power)
        self._held_power = np.maximum(power, DIES_AWAY * self._held_power)
        middle = self._middle()
        gain = np.clip(power / np.maximum(OVER_BLEED * middle, 1e-30) - 1.0, 0.0, 1.0)
        self._foreseen = middle
        self._tell(power, gain)
        self._sum += np.fft.irfft(gain * spectra, WINDOW_FRAMES, axis=1) * self._window * 0.5
        done = self._sum[:, :HOP_FRAMES].copy()
        self._sum = np.concatenate([self._sum[:, HOP_FRAMES:], np.zeros((len(sound), HOP_FRAMES))], axis=1)
        return done

    def _middle(self) -> Powers:
        """Bleed in the middle, a bin a microphone."""
        ways = 10 ** (self._bleed_db / 10)
        ways[np.diag_indices(len(self._channels))] = 0.0
        return np.asarray(np.einsum("ijk,jk->ik", ways[:, :, self._band], self._held_power))

    def _learn(self, power: Powers) -> None:
        """Move every pair's middle towards what this window shows where one singer alone sounds."""
        loudest = power.max()
        for j in range(len(self._channels)):
            others = np.delete(power, j, axis=0).max(axis=0)
            alone = (
                self._counted & (power[j] > DOMINANT * others) & (power[j] > LOUD_SHARE * loudest) & (power[j] > 1e-4)
            )
            if not alone.any():
                continue
            members = self._members[alone]
            counts = members.sum(axis=0)
            for i in range(len(self._channels)):
                if i == j:
                    continue
                ratio_db = 10 * np.log10(np.maximum(power[i, alone], 1e-12) / power[j, alone])
                above = QUANTILE - (ratio_db < self._bleed_db[i, j, self._band[alone]])
                moved = (above @ members) / np.maximum(counts, 4.0)
                self._bleed_db[i, j] = np.clip(self._bleed_db[i, j] + STEP_DB * moved, LEAST_DB, MOST_DB)
                self._learnt[i, j] = True

    def _tell(self, power: Powers, gain: Powers) -> None:
        """Keep what later records are judged by: for each window its middle, the power, what of it was left, and what was foreseen."""
        counted = power[:, self._counted]
        kept = (counted * gain[:, self._counted] ** 2).sum(axis=1)
        foreseen = self._foreseen[:, self._counted].sum(axis=1)
        self._told.append(_Window(self._at + WINDOW_FRAMES // 2, counted.sum(axis=1), kept, foreseen, power, gain))

    def judged(self, record: PitchFrame | Gap, channel: str) -> PitchFrame | Gap:
        """A tracker's record of the sound that was left: what is only bleed is silence, what nobody can tell is no voice."""
        if isinstance(record, Gap) or not self._told:
            return record
        windows, i = list(self._told), self._channels.index(channel)
        place = round((record.centre_frame - windows[0].frame) / HOP_FRAMES)
        near = windows[max(0, place - AROUND_HOPS) : max(1, place + AROUND_HOPS + 1)] or windows[-1:]
        whole, kept, foreseen = (
            sum(float(getattr(w, name)[i]) for w in near) for name in ("whole", "kept", "foreseen")
        )
        here = near[len(near) // 2]
        if kept >= OWN_SHARE * whole or (
            record.voiced and record.confidence >= CLEAR and _own_tone(here, i, record.f0_c100)
        ):
            return record
        if kept < BLEED_SHARE * whole and whole < MORE_THAN_BLEED * foreseen:
            return replace(record, voiced=False, confidence=0, level_db10=QUIET_DB10, residual_db10=QUIET_DB10)
        doubted = SEVERAL_TONES.start if record.confidence in SEVERAL_TONES else record.confidence
        return replace(record, voiced=False, confidence=doubted)

    def under_db(self, channel: str) -> float | None:
        """How far under its own singer the loudest neighbour lies in a microphone's sound; None where no neighbour was heard."""
        i = self._channels.index(channel)
        known = [float(np.median(self._bleed_db[i, j])) for j in range(len(self._channels)) if self._learnt[i, j]]
        return -max(known) if known else None


@dataclass(frozen=True, slots=True, eq=False)
class _Window:
    """One window: its middle; of every microphone the power, what was left of it and what bleed was foreseen; the spectra behind."""

    frame: int
    whole: Powers
    kept: Powers
    foreseen: Powers
    power: Powers
    gain: Powers


def _own_tone(window: _Window, i: int, f0_c100: int) -> bool:
    """Whether enough of a tone's harmonics stand over what bleed can be: a neighbour has some of them, never most."""
    bins = np.rint(c100_to_hz(f0_c100) * np.arange(1, HARMONICS + 1) * WINDOW_FRAMES / RATE_HZ).astype(int)
    bins = bins[bins < WINDOW_FRAMES // 2]
    level = window.power[i, bins]
    there = level > PRESENT * level.max(initial=0.0)
    own = there & (window.gain[i, bins] >= KEPT)
    return bool(own.sum() >= LEAST_HARMONICS and own.sum() >= TONE_SHARE * there.sum())


def _up_to(block: Block, end: int) -> Block:
    return (
        replace(block, samples=np.array(block.samples[: end - block.start_frame])) if block.end_frame > end else block
    )
