"""Several singers, each at a microphone of their own, heard side by side: bleed taken away, then a tracker a microphone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from audio.bleed import Bleed
from audio.block import Block
from audio.heard import Gap, PitchFrame
from audio.pitch import DEFAULT_TRACKER, TRACKERS


class SeveralSingers:
    """Blocks of several microphones become what each one's singer sang; ``PitchFrame.line`` counts the microphones as given.

    Parameters
    ----------
    channels : sequence of str
        Two or more.
    """

    def __init__(self, channels: Sequence[str]) -> None:
        self._bleed = Bleed(channels)
        maker = TRACKERS.load("audio.pitch")[DEFAULT_TRACKER]
        self._trackers = [(maker(line=line, channel=channel), channel) for line, channel in enumerate(channels)]

    def feed(self, block: Block) -> list[PitchFrame | Gap]:
        """What this block makes known, the microphones one after another; lost sound is told once."""
        return list(self._heard(self._bleed.feed(block)))

    def flush(self) -> list[PitchFrame | Gap]:
        """What is left when the sound ends."""
        found = list(self._heard(self._bleed.flush()))
        for tracker, channel in self._trackers:
            found += self._told(tracker.flush(), channel)
        return found

    def said(self) -> list[str]:
        """For every microphone a sentence on its bleed, "" where no neighbour was heard in it."""
        return [_words(self._bleed.under_db(channel)) for _, channel in self._trackers]

    def _heard(self, blocks: Iterable[Block]) -> Iterator[PitchFrame | Gap]:
        for block in blocks:
            for tracker, channel in self._trackers:
                yield from self._told(tracker.feed(block), channel)

    def _told(self, records: Iterable[PitchFrame | Gap], channel: str) -> Iterator[PitchFrame | Gap]:
        first = channel == self._trackers[0][1]
        return (self._bleed.judged(one, channel) for one in records if first or not isinstance(one, Gap))


NEAR_DB = 12.0
"""Less than that and what is bleed is too near to what is sung (measured: ``tests/bench/quartet/run.py``)."""

FAR_DB = 20.0
"""From there on no figure is told: a quartet with nothing of one another in its microphones is measured at 22 to 38 dB."""


def _words(under_db: float | None) -> str:
    if under_db is None:
        return ""
    if under_db < NEAR_DB:
        return (
            f"The nearest neighbour is only {under_db:.0f} dB softer than the singer in this microphone: "
            "stand nearer to it, or farther from each other."
        )
    told = f"at least {FAR_DB:.0f}" if under_db >= FAR_DB else f"{under_db:.0f}"
    return f"The nearest neighbour is {told} dB softer than the singer in this microphone."
