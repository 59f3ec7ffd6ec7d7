"""Real scores read by us and by others: every chorale for four named voices and 200 movements of Palestrina in music21's corpus.

An attempt reads one file in place with our reader and with music21 and compares every note (onset, length, spelled pitch, ties
joined); every tenth chorale is read by partitura too, where that is installed, and every fifth is exported by music21 and read by us.
What was read is written in each of our formats and read again. Nothing of these files is written outside the campaign's own folder.
Attempt after attempt goes through the list and begins again at its end; ``--minutes 20`` is enough for one round on an idle machine.
"""

from __future__ import annotations

import importlib.util
import random
import time
import warnings
from collections import Counter
from pathlib import Path
from statistics import median
from typing import Any

from other_readers import chorales, movements, music21_notes, music21_parsed, music21_score, our_notes, partitura_notes

from trainer.formats import formats, read_path, write_path
from trainer.score.model import Score

FIRST_SEED = 1_000_000
MOVEMENTS = 200
FOUR = {"soprano", "alto", "tenor", "bass"}
PARTITURA_EVERY = 10
EXPORTED_EVERY = 5
HAS_PARTITURA = importlib.util.find_spec("partitura") is not None


def four_voices(path: Path) -> bool:
    """Whether the file's parts are soprano, alto, tenor and bass."""
    try:
        return {line.name.lower() for line in read_path(path).lines} == FOUR
    except Exception:  # whatever is wrong with it, it is not one of these
        return False


class Campaign:
    """One file an attempt."""

    def __init__(self, scratch: Path) -> None:
        self.scratch, self.count = scratch, 0
        songs = [path for path in chorales() if four_voices(path)]
        masses = list(movements())
        random.Random(1).shuffle(masses)
        self.files = [*songs, *sorted(masses[:MOVEMENTS])]
        self.chorales = len(songs)
        self.equal: Counter[str] = Counter()
        self.seen: Counter[str] = Counter()
        self.spelled = [0, 0]
        self.seconds: dict[str, list[tuple[float, float]]] = {"chorale": [], "movement": []}

    def attempt(self, seed: int) -> dict[str, Any]:
        """Fails where a note list differs, or a file written by us does not give back what was read."""
        index = (seed - FIRST_SEED) % len(self.files)
        path = self.files[index]
        kind = "chorale" if index < self.chorales else "movement"
        began = time.process_time()
        score = read_path(path)
        ours_s = time.process_time() - began
        ours = our_notes(score)
        began = time.process_time()
        theirs = music21_score(path)
        theirs_s = time.process_time() - began
        self.seconds[kind].append((ours_s, theirs_s))
        told: dict[str, Any] = {
            "file": path.name,
            "notes": sum(map(len, ours)),
            "ours_s": round(ours_s, 5),
            "music21_s": round(theirs_s, 4),
        }
        problems = (
            []
            if self._counted(f"{kind}, music21", ours == [notes for notes in music21_notes(theirs) if notes])
            else ["not as music21"]
        )
        if kind == "chorale" and index % PARTITURA_EVERY == 0 and HAS_PARTITURA:
            same = self._counted("chorale, partitura", ours == [notes for notes in partitura_notes(path) if notes])
            problems += [] if same else ["not as partitura"]
        if kind == "chorale" and index % EXPORTED_EVERY == 0:
            place = self.scratch / "exported.musicxml"
            parsed = music21_parsed(path)
            parsed.write("musicxml", fp=place)
            same = self._counted("chorale, music21's own export", our_notes(read_path(place)) == ours)
            problems += [] if same else ["not as exported"]
        problems += self._round_trips(score, kind)
        if problems:
            told["failure"] = f"{path.name}: {', '.join(problems)}"
        return told

    def _counted(self, what: str, same: bool) -> bool:
        self.seen[what] += 1
        self.equal[what] += same
        return same

    def _round_trips(self, score: Score, kind: str) -> list[str]:
        problems = []
        for name, format_ in ((name, formats()[name]) for name in formats()):
            if format_.write is None:
                continue
            place = self.scratch / f"again{format_.suffixes[0]}"
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                write_path(score, place)
                again = read_path(place)
            if name == "midi":
                same = _keyed(again) == _keyed(score)
                pairs = [
                    pair
                    for a, b in zip(our_notes(again), our_notes(score), strict=False)
                    for pair in zip(a, b, strict=False)
                ]
                self.spelled = [self.spelled[0] + sum(a[2] == b[2] for a, b in pairs), self.spelled[1] + len(pairs)]
            else:
                same = (again.lines, again.meters, again.keys, again.pickup_quarters, again.bars()) == (
                    score.lines, score.meters, score.keys, score.pickup_quarters, score.bars(),
                )  # fmt: skip
            if not self._counted(f"{kind}, written and read again as {format_.name}", same):
                problems.append(f"other after {format_.name}")
        return problems

    def summary(self) -> tuple[list[str], bool]:
        """How many were equal, and how fast."""
        lines = [f"{self.equal[what]:>4} of {self.seen[what]:>4} equal: {what}" for what in sorted(self.seen)]
        for kind, pairs in self.seconds.items():
            if pairs:
                ours, theirs = sum(a for a, _ in pairs), sum(b for _, b in pairs)
                lines.append(
                    f"{kind}s: ours {1000 * ours / len(pairs):.1f} ms (median {1000 * median(a for a, _ in pairs):.1f}), "
                    f"music21 {1000 * theirs / len(pairs):.1f} ms: {theirs / ours:.1f} times as fast"
                )
        if self.spelled[1]:
            lines.append(
                f"{100 * self.spelled[0] / self.spelled[1]:.2f} % of {self.spelled[1]} notes are spelled as written after MIDI"
            )
        return lines, True


def _keyed(score: Score) -> Any:
    lines = [[(n.onset_quarters, n.length_quarters, n.pitch.midi) for n in line.notes] for line in score.lines]
    return lines, score.meters, score.pickup_quarters
