"""What the voices of four-part chorales do, counted from the music21 package: intervals by what led to them, and where the voices lie.

    python tests/bench/singable/count.py [--every N] [--write]

``--write`` writes ``trainer/singable/chorales.counts`` anew. Read by music21 itself, page once, ties joined; an interval across a rest
or a fermata is left out, and what follows one begins a phrase. Only counts leave this script; the music is in the public domain.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from itertools import pairwise
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

from chorale_parallels import chorales, is_satb  # noqa: E402 - the path is made above

TABLE = ROOT / "trainer" / "singable" / "chorales.counts"
VOICES = ("soprano", "alto", "tenor", "bass")
HEAD = """\
# Intervals of the four voices in {pieces} chorales for soprano, alto, tenor and bass of the music21 package ({version}), counted by
# tests/bench/singable/count.py --write. Counts only; the music (J. S. Bach) is in the public domain.
# voice, class of the interval before, letters and semitones (up positive), how often
"""


def main() -> int:
    """1 when no chorale was found."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--every", type=int, default=1, metavar="N", help="only every Nth file")
    parser.add_argument("--write", action="store_true", help="write the table of the package anew")
    args = parser.parse_args()
    counts: Counter[tuple[str, str, int, int]] = Counter()
    held: dict[str, Counter[int]] = {voice: Counter() for voice in VOICES}
    pieces = 0
    for path in chorales()[:: args.every]:
        lines = _lines(path)
        pieces += lines is not None
        for voice, line in zip(VOICES, lines or (), strict=False):
            _count(voice, line, counts)
            for note in line:
                held[voice][note[2]] += int(note[1] * 96)
    for voice in VOICES:
        total = sum(count for (name, *_), count in counts.items() if name == voice)
        low, high = (_percentile(held[voice], share) for share in (5, 95))
        print(f"{voice}: {total} intervals, MIDI {low} to {high} for nine tenths of the time, {_shares(voice, counts)}")
    if args.write and pieces:
        TABLE.write_text(_written(counts, pieces), encoding="utf-8")
        print(f"{pieces} chorales written to {TABLE.relative_to(ROOT)}")
    return 0 if pieces else 1


def _lines(path: Path) -> list[list[tuple[Any, ...]]] | None:
    """Voices as (onset, length, MIDI, letter height, fermata), ties joined; None when the file has other parts."""
    from music21 import converter

    score = converter.parse(path, storePickle=False, forceSource=True)
    if not is_satb([part.partName or "" for part in score.parts]):
        return None
    found = []
    for part in score.parts:
        line: list[tuple[Any, ...]] = []
        for note in part.flatten().notes:
            pitch = note.pitches[-1]
            fermata = any(type(one).__name__ == "Fermata" for one in note.expressions)
            tied = note.tie is not None and note.tie.type in ("stop", "continue")
            if tied and line and line[-1][2] == pitch.midi and line[-1][0] + line[-1][1] == note.offset:
                line[-1] = (line[-1][0], line[-1][1] + note.quarterLength, *line[-1][2:4], fermata or line[-1][4])
            else:
                line.append((note.offset, note.quarterLength, pitch.midi, pitch.diatonicNoteNum, fermata))
        found.append(line)
    return found


def _count(voice: str, line: list[tuple[Any, ...]], counts: Counter[tuple[str, str, int, int]]) -> None:
    led = "start"
    for before, after in pairwise(line):
        if before[4] or before[0] + before[1] != after[0]:
            led = "start"
            continue
        letters, semitones = after[3] - before[3], after[2] - before[2]
        counts[voice, led, letters, semitones] += 1
        way = "up" if letters > 0 else "down"
        led = "same" if letters == 0 else f"{'step' if abs(letters) == 1 else 'leap'}-{way}"


def _shares(voice: str, counts: Counter[tuple[str, str, int, int]]) -> str:
    mine = Counter[int]()
    for (name, _, letters, _), count in counts.items():
        if name == voice:
            mine[min(abs(letters), 5)] += count
    total = sum(mine.values()) or 1
    names = {0: "repeats", 1: "steps", 2: "thirds", 3: "fourths", 4: "fifths", 5: "more"}
    return ", ".join(f"{words} {100 * mine[letters] / total:.1f} %" for letters, words in names.items())


def _percentile(held: Counter[int], share: int) -> int:
    """The lowest pitch at or under which the voice spends that share of its time."""
    whole, so_far = sum(held.values()), 0
    for midi in sorted(held):
        so_far += held[midi]
        if so_far * 100 >= share * whole:
            return midi
    return 0


def _written(counts: Counter[tuple[str, str, int, int]], pieces: int) -> str:
    import music21

    rows = [" ".join(map(str, (*key, counts[key]))) for key in _ordered(counts)]
    return HEAD.format(pieces=pieces, version=music21.__version__) + "\n".join(rows) + "\n"


def _ordered(counts: Counter[tuple[str, str, int, int]]) -> list[tuple[str, str, int, int]]:
    classes = ("start", "same", "step-up", "step-down", "leap-up", "leap-down")
    return sorted(counts, key=lambda key: (VOICES.index(key[0]), classes.index(key[1]), key[2], key[3]))


if __name__ == "__main__":
    sys.exit(main())
