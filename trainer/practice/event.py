"""What a running take tells whoever watches it."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.practice.take import BeatVerdict


@dataclass(frozen=True, slots=True)
class BeatOver:
    """A beat of one line is over and judged; ``at_frame`` is the take's time at which that became known."""

    line: int
    verdict: BeatVerdict
    at_frame: int
