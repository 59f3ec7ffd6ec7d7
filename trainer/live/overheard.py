"""What a microphone gave in one take, kept until the take is over, for the question whether two sang at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from audio.block import Block, Samples
from audio.heard import Anchor, Gap, Heard
from audio.resample import Resampler
from trainer.practice.settings import Settings
from trainer.practice.timemap import TimeMap
from trainer.score.model import Score
from trainer.takes.two_voices import two_voices_in


class Overheard:
    """One singer's sound and the records made of it, in time order."""

    def __init__(self) -> None:
        self.records: list[Heard] = []
        self._resampler = Resampler()
        self._sound: list[Block] = []

    def hear(self, block: Block) -> None:
        """A block that is tracked."""
        self._sound += self._resampler.feed(block)

    def two_voices(
        self, score: Score, line_index: int, *, settings: Settings, first: Anchor, others: str
    ) -> Sequence[Gap]:
        """Where two voices sang; *others* is "sounding" where the played voices may be in this sound, "taken away" where not."""
        self._sound += self._resampler.flush()
        time = TimeMap([first, *(record for record in self.records if isinstance(record, Anchor))])
        alone = settings.alone or others == "taken away"
        return two_voices_in(
            score, line_index, (self._samples(),), self.records, settings=replace(settings, alone=alone), time=time
        )

    def _samples(self) -> Samples:
        whole = np.zeros(max((block.end_frame for block in self._sound), default=0), dtype=np.float32)
        for block in self._sound:
            start = max(block.start_frame, 0)
            whole[start : block.end_frame] = block.samples[start - block.start_frame :, 0]
        return whole
