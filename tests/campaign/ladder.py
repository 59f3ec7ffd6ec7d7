"""Six simulated singers on every rung as sound: one singer's take in every company an attempt, through the program's own tracker and judge.

Takes are kept whole: shares of clean ones, ladders climbed and causes named from them are counted by ``tests/bench/practice/run.py
--results FOLDER``. Rungs on which a singer hears the same share their takes, since what is shown and when voices fall silent is no part
of these singers' rules; and where one seed makes a singer sing the very same in two companies the sound is made, heard and judged once.
An attempt fails where a take is of nobody. ``--set voice=alto`` takes another line of the piece.
"""

from __future__ import annotations

import base64
import zlib
from collections import Counter
from pathlib import Path
from typing import Any

from practising import company, judged_sound, ladder, singer_sings
from six_singers import SINGERS
from slips import Performance

from trainer.log.judged import performance_text
from trainer.practice.clean import mark
from trainer.practice.take import Performance as Judged
from trainer.practice.take import Take


class Campaign:
    """A seed an attempt, the singers in turn."""

    def __init__(self, scratch: Path, voice: str = "tenor") -> None:
        del scratch
        self.count, self.voice = 0, voice
        self.companies = list(dict.fromkeys(company(rung) for rung in ladder(voice)))
        self.marks: Counter[tuple[str, str]] = Counter()

    def attempt(self, seed: int) -> dict[str, Any]:
        """One singer's take in each company, the same dice in all."""
        singer = SINGERS[seed % len(SINGERS)]
        takes: dict[Performance, Take] = {}
        rows = []
        for heard in self.companies:
            sung = singer_sings(singer, self.voice, heard, seed)
            take = takes.get(sung) or takes.setdefault(sung, judged_sound(sung, self.voice, seed))
            self.marks[singer.kind, mark(take)] += 1
            packed = base64.b64encode(zlib.compress(performance_text(Judged((take,))).encode(), 9)).decode()
            rows.append({"sounding": list(heard.sounding), "guide": heard.guide, "mark": mark(take), "take": packed})
        told = {"singer": singer.kind, "voice": self.voice, "sounds": len(takes), "takes": rows}
        nobody = any(row["mark"] == "nothing" for row in rows)
        return told | ({"failure": f"{singer.kind}: nothing heard"} if nobody else {})

    def summary(self) -> tuple[list[str], bool]:
        """How many takes were clean, by singer."""
        lines = []
        for singer in SINGERS:
            counted = {told: count for (kind, told), count in sorted(self.marks.items()) if kind == singer.kind}
            lines.append(
                f"{singer.kind}: {', '.join(f'{count} {told}' for told, count in counted.items()) or 'no take'}"
            )
        return lines, True
