"""Pitch lines and keys as they were heard once, and what the judge made of them under several settings: letter for letter.

They are kept in ``tests/golden/ours/lines``, made and made anew by ``tests/bench/lines/make.py``.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from pathlib import Path

from told_of_takes import notes_of, rest_of

from audio.heard import Anchor, Heard
from trainer.log.packed import pack, unpack
from trainer.log.written import anchors_of, anchors_table, canonical, score_of, score_text, settings_of, settings_table
from trainer.practice.settings import Settings
from trainer.score.model import Score
from trainer.takes.judging import judge

FOLDER = Path(__file__).resolve().parents[1] / "golden" / "ours" / "lines"


@dataclass(frozen=True)
class StoredLine:
    """One line as it was heard; *others* are judged by beside *settings*."""

    name: str
    score: Score
    line: int
    source: str
    settings: Settings
    heard: tuple[Heard, ...]
    anchors: tuple[Anchor, ...] = ()
    others: tuple[Settings, ...] = ()

    def verdicts(self) -> list[str]:
        """Everything that is judged under each of the settings: a row a note, a beat, and what else is said."""
        rows = []
        for number, settings in enumerate((self.settings, *self.others)):
            judged = judge(
                self.score, (self.line,), self.heard, settings=settings, anchors=self.anchors, sources=(self.source,)
            )
            rows += [f"{number} {row}" for row in (*notes_of(judged.takes[0]), *rest_of(judged.takes[0]))]
        return rows

    def write(self) -> None:
        """Into the folder, with today's verdicts."""
        table = {
            "score": json.loads(score_text(self.score)),
            "line": self.line,
            "source": self.source,
            "settings": [settings_table(one) for one in (self.settings, *self.others)],
            "anchors": anchors_table(self.anchors),
        }
        (FOLDER / f"{self.name}.line").write_bytes(canonical(table).encode() + b"\n" + pack(self.heard))
        (FOLDER / f"{self.name}.txt").write_text("\n".join(self.verdicts()) + "\n", encoding="utf-8")


def read_line(path: Path) -> StoredLine:
    """One of the folder."""
    head, _, packed = path.read_bytes().partition(b"\n")
    table = json.loads(head)
    first, *others = (settings_of(one) for one in table["settings"])
    return StoredLine(
        path.stem,
        score_of(json.dumps(table["score"])),
        table["line"],
        table["source"],
        first,
        unpack(packed),
        anchors_of(table["anchors"]),
        tuple(others),
    )


def under(settings: Settings, **changed: object) -> Settings:
    """*settings* with some of them otherwise."""
    return replace(settings, **changed)  # type: ignore[arg-type]
