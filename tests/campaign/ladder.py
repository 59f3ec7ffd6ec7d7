"""Six simulated singers on every rung as sound: one take an attempt, through the program's own tracker and judge, kept whole.

Takes are counted, and ladders climbed and causes named from them, by ``tests/bench/practice/run.py --results FOLDER``. Rungs on which the
singers hear the same share their takes, since what is shown and when voices fall silent is no part of these singers' rules. An attempt
fails only where a take is of nobody. ``--set voice=alto`` takes another line of the piece.
"""

from __future__ import annotations

import base64
import zlib
from collections import Counter
from pathlib import Path
from typing import Any

from practising import company, heard_take, ladder
from six_singers import SINGERS

from trainer.log.judged import performance_text
from trainer.practice.clean import mark
from trainer.practice.take import Performance


class Campaign:
    """A take an attempt: singers in turn, then companies."""

    def __init__(self, scratch: Path, voice: str = "tenor") -> None:
        del scratch
        self.count, self.voice = 0, voice
        self.companies = list(dict.fromkeys(company(rung) for rung in ladder(voice)))
        self.marks: Counter[tuple[str, str]] = Counter()

    def attempt(self, seed: int) -> dict[str, Any]:
        """One take."""
        singer = SINGERS[seed % len(SINGERS)]
        heard = self.companies[seed // len(SINGERS) % len(self.companies)]
        take = heard_take(singer, self.voice, heard, seed)
        told = mark(take)
        self.marks[singer.kind, told] += 1
        packed = base64.b64encode(zlib.compress(performance_text(Performance((take,))).encode(), 9)).decode()
        return {
            "singer": singer.kind,
            "voice": self.voice,
            "sounding": list(heard.sounding),
            "guide": heard.guide,
            "mark": told,
            "take": packed,
        } | ({"failure": f"{singer.kind}: nothing heard"} if told == "nothing" else {})

    def summary(self) -> tuple[list[str], bool]:
        """How many takes were clean, by singer."""
        lines = []
        for singer in SINGERS:
            counted = {told: count for (kind, told), count in sorted(self.marks.items()) if kind == singer.kind}
            lines.append(
                f"{singer.kind}: {', '.join(f'{count} {told}' for told, count in counted.items()) or 'no take'}"
            )
        return lines, True
