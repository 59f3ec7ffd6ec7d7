"""Scores as other people's libraries read them: music21 (BSD) and partitura (Apache 2.0). Notes are onset, length and name, ties joined.

Files of music21's corpus are read in place from the installed package; nothing of them is kept.
"""

from __future__ import annotations

import functools
import importlib.util
import warnings
from fractions import Fraction
from pathlib import Path
from typing import Any

from trainer.score.model import Score

Notes = list[tuple[Fraction, Fraction, str]]

FINEST_PARTS = 10_000
"""music21 keeps some tuplets as floats; no note of a score lies on a finer grid."""


def corpus() -> Path:
    """The folder of scores inside the installed music21."""
    found = importlib.util.find_spec("music21")
    if found is None or found.origin is None:
        raise RuntimeError("music21 is not installed")
    return Path(found.origin).parent / "corpus"


@functools.cache
def chorales() -> tuple[Path, ...]:
    """Bach's chorales in the corpus, in name order; not all are for four voices."""
    return tuple(path for path in sorted((corpus() / "bach").iterdir()) if path.suffix in (".mxl", ".xml"))


@functools.cache
def movements() -> tuple[Path, ...]:
    """Palestrina's mass movements in the corpus, in name order."""
    return tuple(sorted((corpus() / "palestrina").glob("*.krn")))


def our_notes(score: Score) -> list[Notes]:
    """A list of notes a line."""
    return [[(n.onset_quarters, n.length_quarters, str(n.pitch)) for n in line.notes] for line in score.lines]


def music21_parsed(path: Path) -> Any:
    """The file as music21 reads it."""
    from music21 import converter

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return converter.parse(path, forceSource=True, storePickle=False)


def music21_score(path: Path) -> Any:
    """The file as music21 reads it, its repeats unfolded."""
    return music21_parsed(path).expandRepeats()


def music21_notes(score: Any) -> list[Notes]:
    """A list of notes a part."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return [
            [
                (exact(note.offset), exact(note.quarterLength), note.pitch.nameWithOctave.replace("-", "b"))
                for note in part.stripTies().flatten().notes
                if not note.duration.isGrace
            ]
            for part in score.parts
        ]


def exact(value: float | Fraction) -> Fraction:
    """The fraction that was meant."""
    return Fraction(value).limit_denominator(FINEST_PARTS)


def partitura_notes(path: Path) -> list[Notes]:
    """A list of notes a part, its repeats unfolded. Partitura is asked only where it is installed; no test needs it."""
    import partitura  # type: ignore[import-not-found, unused-ignore]
    from partitura.score import unfold_part_maximal

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        parts = partitura.load_score(str(path)).parts
        return [_tied(unfold_part_maximal(part)) for part in parts]


def _tied(part: Any) -> Notes:
    start = part.quarter_map(part.first_point.t)
    found = []
    for note in part.notes_tied:
        onset, end = part.quarter_map(note.start.t), part.quarter_map(note.end_tied.t)
        sign = {0: "", 1: "#", 2: "##", -1: "b", -2: "bb"}[note.alter or 0]
        found.append((exact(float(onset - start)), exact(float(end - onset)), f"{note.step}{sign}{note.octave}"))
    return sorted(found)
