"""Our readers and writers beside music21 (BSD), a second reader written by others.

The chorales are read in place from music21's installed corpus and written only to the test's own folder.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from trainer.formats import read_path, write_path
from trainer.library import exercises, resolve
from trainer.score.model import Score

pytestmark = pytest.mark.filterwarnings("ignore")

CHORALES = ("bach/bwv66.6", "bach/bwv304", "bach/bwv261", "bach/bwv8.6", "bach/bwv269")
"""The usual example; a meter change with a pickup; short bars; a repeat with endings; many ties."""

Notes = list[tuple[Fraction, Fraction, str]]


def parsed(path: Path):
    from music21 import converter

    return converter.parse(path, forceSource=True, storePickle=False)


def corpus_path(name: str) -> Path:
    from music21 import corpus

    return Path(corpus.getWork(name))


def theirs(part) -> Notes:
    return [
        (Fraction(n.offset), Fraction(n.quarterLength), n.pitch.nameWithOctave.replace("-", "b"))
        for n in part.stripTies().flatten().notes
        if not n.duration.isGrace
    ]


def ours(score: Score) -> list[Notes]:
    return [[(n.onset_quarters, n.length_quarters, str(n.pitch)) for n in line.notes] for line in score.lines]


@pytest.mark.parametrize("name", CHORALES)
def test_chorales_are_read_note_for_note_as_music21_reads_them(name: str) -> None:
    path = corpus_path(name)
    assert ours(read_path(path)) == [theirs(part) for part in parsed(path).expandRepeats().parts]


def test_a_chorale_written_by_music21_is_read_as_it_was(tmp_path: Path) -> None:
    source = parsed(corpus_path("bach/bwv66.6"))
    target = tmp_path / "chorale.musicxml"
    source.write("musicxml", fp=target)
    score = read_path(target)
    assert ours(score) == [theirs(part) for part in source.parts]
    assert [line.name for line in score.lines] == [part.partName for part in source.parts]
    assert score.pickup_quarters == 1
    assert score.keys[0][1].fifths == 3


def test_a_midi_file_written_by_music21_is_read_as_it_was(tmp_path: Path) -> None:
    source = parsed(corpus_path("bach/bwv66.6"))
    target = tmp_path / "chorale.mid"
    source.write("midi", fp=target)
    score = read_path(target)
    assert ours(score) == [theirs(part) for part in source.parts]


@pytest.mark.parametrize("number", [exercise.number for exercise in exercises()])
def test_music21_reads_every_shipped_drill_from_our_musicxml(number: int, tmp_path: Path) -> None:
    score = resolve(str(number))
    target = tmp_path / "drill.musicxml"
    write_path(score, target)
    found = parsed(target)
    assert [theirs(part) for part in found.parts] == ours(score)
    assert found.metadata.title == score.title
    first = found.parts[0].flatten()
    assert [key.sharps for key in first.getElementsByClass("KeySignature")] == [key.fifths for _, key in score.keys]
    assert [mark.getQuarterBPM() for mark in first.getElementsByClass("MetronomeMark")] == [
        float(qpm) for _, qpm in score.tempo.points
    ]
    assert first.getElementsByClass("TimeSignature")[0].ratioString == str(score.meters[0][1])


def test_music21_reads_our_midi(tmp_path: Path) -> None:
    score = resolve("1")
    target = tmp_path / "drill.mid"
    write_path(score, target)
    # music21 spells keys its own way, so numbers are compared
    found = [[(n.offset, n.quarterLength, n.pitch.midi) for n in part.flatten().notes] for part in parsed(target).parts]
    assert found == [[(n.onset_quarters, n.length_quarters, n.pitch.midi) for n in line.notes] for line in score.lines]


def test_tuplets_dots_and_ties_survive_music21(tmp_path: Path) -> None:
    (tmp_path / "a.drill").write_text("meter: 4/4\nalto | A4,B,C D,C,B A,-,- G,F,E,D | E - - -,F | - -,G A - |\n")
    score = read_path(tmp_path / "a.drill")
    write_path(score, tmp_path / "a.mxl")
    assert [theirs(part) for part in parsed(tmp_path / "a.mxl").parts] == ours(score)
