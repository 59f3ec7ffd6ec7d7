"""Our own sound taken away from a microphone, as it comes.

Blocks with a microphone's channel and "played1", "played2" ... on one axis go in; blocks of the microphone alone at ``RATE_HZ`` come
out, on the same axis. What the echo will be is known before it arrives, since sound needs its time; so what is heard is given back at
once wherever the round trip is longer than a block of 10.7 ms, and later by the difference elsewhere.

Where what comes back no longer fits what is foretold, the delay is looked for anew; where nothing comes back, nothing is taken away.
The room itself is learnt beforehand: learnt while somebody sings, a singer's harmonics would be taken for it.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from audio.block import Block
from audio.canceller import _drift
from audio.canceller._filter import BINS, BLOCK_FRAMES, PARTITIONS, PartitionedFilter
from audio.canceller._foretold import Foretold
from audio.canceller._leftover import LOST, UNTRIED_DB, Leftover
from audio.canceller._presence import FAINTEST, Presence, alike, share_explained
from audio.canceller._reference import HALF_TAPS, Reference
from audio.canceller._return import Return
from audio.canceller._spectra import Spectra, Spectrograph
from audio.canceller.learn import BEST_DB, LONGEST_DELAY_SECONDS, possible_delays, sounded
from audio.canceller.past import Past
from audio.canceller.path import EchoPath
from audio.resample import Resampler
from audio.units import RATE_HZ

Sound = NDArray[np.float32]
Pair = tuple[NDArray[np.float64], NDArray[np.float64]]
Pairs = dict[int, Pair]
"""By delay, what was heard and what was foretold for it."""

DOUBT, MOVED_DOUBT, NEW_DOUBT = 1e-3, 3e-2, 3e-1
WANDER, MOVED_WANDER = 3e-6, 1e-4
"""Of a coefficient's power, at once and a block: for a room that stays as it is, for one that was moved, for one hardly known.
Our own, by simulation."""

PAST_SECONDS = 3.0
FIRST_LOOK_SECONDS = 1.5
AGAIN_SECONDS = 2.0
SOON_SECONDS = 0.8
"""The same before anybody sings, where the room is known and only the delay is another."""

SOUNDING = 1e-6
"""Mean power of what is played, -60 dBFS, from which it counts as sounding."""

LONGEST_FRAMES = round(LONGEST_DELAY_SECONDS * RATE_HZ)
LOST_BEFORE_SECONDS = 0.8
"""So long it may take until it is known that what is foretold does not fit any more."""

SAME_DELAY_FRAMES = 24
FAR_MORE, EXPLAINED = 2.0, 0.03
SURE, NEARLY = 0.7, 0.9
"""Of delays that fit nearly as well the nearest to that of soundcheck: a chord fits at every period of its root."""

_EVERY_BIN = np.ones(BINS, np.float32)


class Canceller:
    """A ``Stage``: see the module.

    Parameters
    ----------
    channel : str
        The microphone.
    path : EchoPath
        As it was learnt from soundcheck, or from a recording.
    nobody : callable
        Of a frame at ``RATE_HZ``: whether nobody is asked to sing there, as before the first entry; what is heard then is ours.
    """

    def __init__(
        self, channel: str = "mic1", *, path: EchoPath, nobody: Callable[[int], bool] = lambda _: False
    ) -> None:
        self.channel, self._known_before, self.nobody = channel, path, nobody
        self.reset()

    def reset(self) -> None:
        """As new, with the room that was known at first."""
        self.path = self._known_before
        self._filter = _filter_of(self.path)
        self.leftover = Leftover(self.path.left_db)
        self._presence, self._return = Presence(), Return()
        self.rewind()

    def rewind(self) -> None:
        """The same sound will come once more from its beginning; what was learnt stays."""
        self._microphone, self._loudspeaker = Resampler(self.channel), Resampler("played")
        self.drift_ppm = self.path.drift_ppm
        self.leftover.rewind()
        self._presence.forget()
        self.foretold = Foretold()
        self._begun = False
        self._heard: Sound = np.zeros(0, np.float32)
        self._sound: Sound = self._heard
        self._past: Past = Past(round(PAST_SECONDS * RATE_HZ), 0)
        self._reference: Reference = Reference(0, 0.0)
        self._echo: Sound | None = None
        self._block_from = self._given = 0
        self._bad: list[tuple[int, int]] = []
        self._lost_spans: list[tuple[int, int]] = []
        self._lost_from: int | None = None
        self._lost = 0

    @property
    def latency_frames(self) -> int:
        """At ``RATE_HZ``, the resampler's reach included."""
        waits = BLOCK_FRAMES + HALF_TAPS + 1 - self.path.delay_frames
        return self._microphone.latency_frames + max(0, waits)

    def feed(self, block: Block) -> list[Block]:
        """What this block makes known of the microphone alone. Samples that were not numbers stay so."""
        self._note_bad(block)
        loudspeaker = loudspeakers(block)
        pairs = zip(self._microphone.feed(block), self._loudspeaker.feed(loudspeaker), strict=True)
        return [out for heard, sounding in pairs for out in self._take(heard, sounding)]

    def flush(self) -> list[Block]:
        """The last of the sound."""
        pairs = zip(self._microphone.flush(), self._loudspeaker.flush(), strict=True)
        out = [block for heard, sounding in pairs for block in self._take(heard, sounding)]
        out += self._finish()
        self._note_lost(self._block_from, None)
        return out

    @property
    def taken_db(self) -> float | None:
        """By how much our own sound is taken down now, never said to be more than 32; None where nothing is taken away."""
        if not self.taking:
            return None
        return min(-BEST_DB, -10.0 * math.log10(max(self.leftover.measured, 1e-6)))

    @property
    def taking(self) -> bool:
        """Whether anything is taken away: our own sound is heard in the room."""
        return not self._presence.absent

    def lost_spans(self) -> list[tuple[int, int]]:
        """Stretches, known since this was last asked, in which our own sound was not taken away: nothing can be told of them."""
        told, self._lost_spans = self._lost_spans, []
        return told

    # ---- one unbroken stretch after another

    def _take(self, heard: Block, sounding: Block) -> list[Block]:
        out: list[Block] = []
        if not self._begun:
            self._begun = True
            self._begin(heard.start_frame, -float(self.path.delay_frames))
        elif heard.lost_frames_before:
            out += self._finish()
            self._lost = heard.lost_frames_before
            self._begin(heard.start_frame, self._behind())
        self._heard = np.concatenate((self._heard, heard.samples[:, 0]))
        self._past.add(heard.samples[:, 0], sounding.samples[:, 0])
        self._reference.add(sounding.samples[:, 0])
        return out + self._advance()

    def _begin(self, start_frame: int, behind: float) -> None:
        """Sound from *start_frame* on, our own standing *behind* blocks' beginnings; silence before."""
        self._block_from = start_frame // BLOCK_FRAMES * BLOCK_FRAMES
        self._heard = np.zeros(start_frame - self._block_from, np.float32)
        self._given = len(self._heard)
        self._echo = None
        self._past = Past(round(PAST_SECONDS * RATE_HZ), start_frame)
        self._spectrograph = Spectrograph()
        self._reference = Reference(start_frame, self._block_from + behind)
        self._reference.drift = self.drift_ppm * 1e-6
        self._sounding_blocks = 0
        self._looked_at = self._block_from
        self._filter.forget_sound()

    def _behind(self) -> float:
        """Where our own sound stands against the microphone's: minus the delay."""
        done = 0.0 if self._echo is None else BLOCK_FRAMES * (1.0 - self._reference.drift)
        return self._reference.position - done - self._block_from

    def _finish(self) -> list[Block]:
        """What still waits, with silence after it."""
        if not self._begun:
            return []
        short = len(self._heard)
        self._reference.add(np.zeros(LONGEST_FRAMES, np.float32))
        return self._advance() if short else []

    def _advance(self) -> list[Block]:
        parts: list[Sound] = []
        begin = self._block_from + self._given
        while True:
            if self._echo is None:
                if not self._reference.ready():
                    break
                self._sound = self._reference.next_block()
                self._echo = self._filter.echo(self._sound)
            echo = self._echo if self.taking else np.zeros(BLOCK_FRAMES, np.float32)
            end = min(len(self._heard), BLOCK_FRAMES)
            parts.append(self._heard[self._given : end] - echo[self._given : end])
            self._given = end
            if end < BLOCK_FRAMES:
                break
            self._learn(self._heard[:BLOCK_FRAMES], self._echo)
            self._heard = self._heard[BLOCK_FRAMES:]
            self._block_from += BLOCK_FRAMES
            self._given, self._echo = 0, None
        sound = np.concatenate(parts) if parts else np.zeros(0, np.float32)
        if not len(sound):
            return []
        for first, last in self._bad:
            sound[max(first - begin, 0) : max(last - begin, 0)] = np.nan
        self._bad = [(first, last) for first, last in self._bad if last > begin + len(sound)]
        lost, self._lost = self._lost, 0
        return [Block(sound[:, None], (self.channel,), begin, RATE_HZ, lost_frames_before=lost)]

    # ---- what is learnt from a block that is over

    def _learn(self, heard: Sound, echo: Sound) -> None:
        end = self._block_from + BLOCK_FRAMES
        self._sounding_blocks += self._past.sounding(self._block_from, end) > SOUNDING
        nobody = self.nobody(self._block_from)
        louder = self._presence.hear(heard, echo, nobody=nobody)
        if louder != 1.0:
            self._filter.scale(louder)
            self.leftover = Leftover(self.path.left_db)
            echo = np.float32(louder) * echo
        if self._presence.absent:
            self._reference.forget(int(self._reference.position) - LONGEST_FRAMES)
            if nobody:
                self._look(end)
            return
        if self._return.better(self._filter, heard, echo):
            self._filter.return_to_learnt()
            echo = self._filter.echo_as_learnt()
        error = heard - echo
        moved = self.leftover.moved
        free = _EVERY_BIN if moved or nobody else self.leftover.free
        self._filter.learn(error, free, MOVED_WANDER if moved else WANDER)
        spectra = self._spectrograph.add(error, echo, self._sound, end)
        self._reference.forget(int(self._reference.position) - LONGEST_FRAMES)
        if spectra is not None:
            self._follow(spectra)
            self.foretold.add(spectra.centre_frame, self.leftover.hear(spectra, self._filter.response))
            self._note_lost(end, self.leftover.lost and not nobody)
            if self.leftover.moved and not moved:
                self._filter.doubt(MOVED_DOUBT)
            if self.leftover.share > LOST or (self._presence.unlike and (nobody or self.leftover.moved)):
                self._look(end)

    def _note_lost(self, end: int, lost: bool | None) -> None:
        if lost and self._lost_from is None:
            self._lost_from = end - round(LOST_BEFORE_SECONDS * RATE_HZ)
        elif not lost and self._lost_from is not None:
            self._lost_spans.append((self._lost_from, end))
            self._lost_from = None

    def _follow(self, spectra: Spectra) -> None:
        """The two clocks held together."""
        late = _drift.late_frames(spectra.left_bins, spectra.taken_bins)
        if late is not None:
            self._reference.position -= _drift.PLACE_GAIN * late
            drift = self._reference.drift + _drift.RATE_GAIN * late
            self._reference.drift = float(np.clip(drift, -_drift.MOST, _drift.MOST))
            self.drift_ppm = self._reference.drift * 1e6

    def _look(self, end: int) -> None:
        """Look through the last seconds for the delay."""
        nobody = self.nobody(self._block_from)
        if self._sounding_blocks * BLOCK_FRAMES < (SOON_SECONDS if nobody else FIRST_LOOK_SECONDS) * RATE_HZ:
            return
        if end - self._looked_at < (SOON_SECONDS if nobody else AGAIN_SECONDS) * RATE_HZ:
            return
        self._looked_at = end
        heard, played = self._past.until(end)
        foretold, now = sounded(played, self.path.taps), round(-self._behind())
        possible = {now, *possible_delays(foretold, heard, now, LONGEST_FRAMES)}
        pairs = {delay: _both(heard, foretold, delay) for delay in possible}
        found = self._surely(self.path, pairs) if nobody else self._besides_a_singer(self.path, pairs, now)
        if found is None or (found.delay_frames == now and not self._presence.absent):
            return
        self.path = found
        self._presence = Presence()
        self._enter(self.path, end, played)

    def _surely(self, path: EchoPath, pairs: Pairs) -> EchoPath | None:
        """The room at the delay, and as loud, as it is heard while nobody sings; None where nothing is like it."""
        tried = {delay: alike(*pair) for delay, pair in pairs.items()}
        best = max(likeness for _, likeness in tried.values())
        if best < SURE:
            return None
        usual = self._known_before.delay_frames
        delay = min((d for d in pairs if tried[d][1] >= NEARLY * best), key=lambda d: abs(d - usual))
        gain = tried[delay][0]
        if gain < FAINTEST:
            return None
        return EchoPath(path.taps * np.float32(gain), max(delay, 0), self.drift_ppm, path.left_db)

    def _besides_a_singer(self, path: EchoPath, pairs: Pairs, now: int) -> EchoPath | None:
        """The room at another delay that explains far more of what is heard than the present one; None where none does."""
        tried = {delay: share_explained(*pair) for delay, pair in pairs.items()}
        delay = max(tried, key=tried.__getitem__)
        if abs(delay - now) < SAME_DELAY_FRAMES or tried[delay] < FAR_MORE * max(tried[now], EXPLAINED):
            return None
        return EchoPath(path.taps, delay, self.drift_ppm, path.left_db)

    def _enter(self, path: EchoPath, end: int, played: NDArray[np.float64]) -> None:
        """From *end* on go by this path, what was played before it known."""
        self._filter = _filter_of(path)
        self.leftover, self._return = Leftover(path.left_db), Return()
        before = PARTITIONS * BLOCK_FRAMES
        self._reference.position = float(end - before - path.delay_frames)
        kept, self._reference = self._reference, Reference(end - len(played), self._reference.position)
        self._reference.drift = kept.drift
        self._reference.add(self._past.played_from(end - len(played)))
        while self._reference.position < end - path.delay_frames - BLOCK_FRAMES / 2:
            self._filter.echo(self._reference.next_block())

    def _note_bad(self, block: Block) -> None:
        wrong = ~np.isfinite(block.channel(self.channel))
        if wrong.any():
            edges = np.flatnonzero(np.diff(np.concatenate(([False], wrong, [False])).astype(np.int8)))
            for first, last in edges.reshape(-1, 2).tolist():
                begin = (block.start_frame + first) * RATE_HZ // block.rate_hz
                self._bad.append((begin, -(-(block.start_frame + last) * RATE_HZ // block.rate_hz)))


def loudspeakers(block: Block) -> Block:
    """All that was played in one channel, "played": what leaves two loudspeakers in one room is heard as one."""
    columns = [k for k, name in enumerate(block.channels) if name.startswith("played")]
    together = block.samples[:, columns[:1]].copy()
    for column in columns[1:]:
        together += block.samples[:, column : column + 1]
    return Block(together, ("played",), block.start_frame, block.rate_hz, block.lost_frames_before)


def _both(heard: NDArray[np.float64], foretold: NDArray[np.float64], delay: int) -> Pair:
    """What of the two lies on one moment, *delay* frames apart.

    A delay that clocks have worn down can lie below 0, and one that is possible can be longer than what has been heard: nothing then.
    """
    count = max(len(heard) - abs(delay), 0)
    return heard[max(delay, 0) :][:count], foretold[max(-delay, 0) :][:count]


def _filter_of(path: EchoPath) -> PartitionedFilter:
    made = PartitionedFilter(path.taps)
    made.doubt(DOUBT if path.left_db < UNTRIED_DB else NEW_DOUBT)
    return made
