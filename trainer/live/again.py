"""After a take: its worst bar, to be listened to as it was sung, then the right bar, then both at once.

A neutral voice sounds it from the pitch line, so nobody need hear their own. Nothing is read from a disk: what was heard is still here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from audio.block import Samples
from trainer.errors import HeldlineError
from trainer.live.desk import Desk
from trainer.live.player import Player
from trainer.log.attempt import Attempt
from trainer.practice.take import Performance
from trainer.reports.findings import worst_note
from trainer.reports.wording import bar_words
from trainer.takes.resounded import OUT_HZ, bar_pieces

UNHEARD = "nothing can be listened to: this session makes no sound"
NOTHING = "every note that could be told was held: there is no bar to set right"


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """Sound made ready, as a ``Rendering`` of one channel.

    Parameters
    ----------
    samples : float32 array, shape (n, 1)
    """

    samples: Samples
    channel_count: int = 1

    @property
    def length_frames(self) -> int:
        """Where it ends."""
        return len(self.samples)

    def stems(self, from_frame: int, to_frame: int) -> Samples:
        """Its samples in [from, to), shape (to - from, 1); zero outside."""
        out = np.zeros((to_frame - from_frame, 1), np.float32)
        low, high = max(0, from_frame), min(len(self.samples), to_frame)
        if low < high:
            out[low - from_frame : high - from_frame] = self.samples[low:high]
        return out


class Replay:
    """The worst bar of the last take, sounded when it is asked for; asked again while it sounds, it ends."""

    def __init__(self) -> None:
        self._heard: Attempt | None = None
        self._until_frame = 0

    def remember(self, attempt: Attempt) -> None:
        """What was heard in the take that is over."""
        self._heard = attempt

    def over(self) -> None:
        """Nothing of it sounds any more."""
        self._until_frame = 0

    def asked(self, player: Player, performance: Performance, desk: Desk) -> str:
        """Sound it, or end it; what is to be said."""
        if player.now_frame < self._until_frame:
            self._until_frame = player.hush()
            return ""
        if desk.sounding == "silent" or self._heard is None:
            return UNHEARD
        said, sound = worst_bar(self._heard, performance, player.stems.rate_hz)
        if sound is not None:
            self._until_frame = player.give(sound)
        return said


def worst_bar(attempt: Attempt, performance: Performance, rate_hz: int) -> tuple[str, Stretch | None]:
    """What is to be said of the worst bar of one singer's take, and its sound at *rate_hz*; None where there is nothing to hear."""
    take = performance.takes[0]
    worst = worst_note(take)
    if take.status == "nothing heard" or worst is None:
        return ("nothing was heard in this take" if take.status == "nothing heard" else NOTHING), None
    try:
        pieces, starts = bar_pieces(attempt, 0, take, (worst.bar, worst.bar))
    except HeldlineError:
        return f"{bar_words(worst)} is the worst, and nothing was heard in it", None
    samples = np.concatenate(list(pieces)).mean(axis=1, keepdims=True, dtype=np.float32)
    if rate_hz != OUT_HZ:
        import soxr

        samples = np.asarray(soxr.resample(samples, OUT_HZ, rate_hz), np.float32)
    did = "played" if attempt.source == "keyed" else "sang"
    when = " and ".join(f"{at:.0f}" for _, at in starts[1:])
    told = f"{bar_words(worst)}: first as you {did} it, after {when} s the right bar and both at once."
    return f"{told[:1].upper()}{told[1:]}", Stretch(samples)
