"""Our readers and writers beside music21 (BSD), a second reader written by others.

Chorales, movements and tunes are read in place from music21's installed corpus and written only to the test's own folder. This is a
sample; all of them are read by ``tests/campaign/run.py scores``.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from other_readers import corpus, music21_notes, music21_score, our_notes
from written_abc import abc_of

from trainer.formats import read_path, write_path
from trainer.library import exercises, resolve

pytestmark = pytest.mark.filterwarnings("ignore")

SAMPLE = (
    "bach/bwv66.6.mxl",  # the usual example
    "bach/bwv304.mxl",  # a meter change with a pickup
    "bach/bwv261.mxl",  # short bars
    "bach/bwv8.6.mxl",  # a repeat with endings
    "bach/bwv269.mxl",  # many ties
    "bach/bwv155.5.mxl",  # bars cut short between strains
    "bach/bwv366.krn",
    "palestrina/Agnus_I_47.krn",  # breves and longs
    "palestrina/Credo_67_b.krn",
    "palestrina/Kyrie_26_a.krn",
    "palestrina/Agnus_II_52.krn",
    "palestrina/Benedictus_12.krn",
)
TUNES = ("AllyCroakersFavoriteReel", "AlbemarleHornpipe", "AmazonHornpipe", "AtlantaHornpipe")
"""Tunes in which no mark stands inside broken rhythm and no sign is needed twice in a bar, where music21 reads other notes than we."""


@pytest.mark.parametrize("name", SAMPLE)
def test_real_scores_are_read_note_for_note_as_music21_reads_them(name: str) -> None:
    path = corpus() / name
    assert our_notes(read_path(path)) == music21_notes(music21_score(path))


@pytest.mark.parametrize("name", TUNES)
def test_abc_tunes_are_read_note_for_note_as_music21_reads_them(name: str) -> None:
    path = corpus() / "ryansMammoth" / f"{name}.abc"
    assert our_notes(read_path(path)) == music21_notes(music21_score(path))


def test_four_voices_in_abc_are_read_by_both_as_they_were_written(tmp_path: Path) -> None:
    chorale = read_path(corpus() / "bach" / "bwv66.6.mxl")
    target = tmp_path / "chorale.abc"
    target.write_text(abc_of(chorale))
    assert our_notes(read_path(target)) == our_notes(chorale)
    assert music21_notes(music21_score(target)) == our_notes(chorale)


def test_a_chorale_written_by_music21_is_read_as_it_was(tmp_path: Path) -> None:
    source = music21_score(corpus() / "bach" / "bwv66.6.mxl")
    target = tmp_path / "chorale.musicxml"
    source.write("musicxml", fp=target)
    score = read_path(target)
    assert our_notes(score) == music21_notes(source)
    assert [line.name for line in score.lines] == [part.partName for part in source.parts]
    assert score.pickup_quarters == 1
    assert score.keys[0][1].fifths == 3


def test_a_midi_file_written_by_music21_is_read_as_it_was(tmp_path: Path) -> None:
    source = music21_score(corpus() / "bach" / "bwv66.6.mxl")
    target = tmp_path / "chorale.mid"
    source.write("midi", fp=target)
    score = read_path(target)
    assert our_notes(score) == music21_notes(source)


@pytest.mark.parametrize(
    "number", [exercise.number for exercise in exercises() if exercise.number <= 17 or exercise.number % 30 == 0]
)
def test_music21_reads_shipped_drills_from_our_musicxml(number: int, tmp_path: Path) -> None:
    score = resolve(str(number))
    target = tmp_path / "drill.musicxml"
    write_path(score, target)
    found = music21_score(target)
    assert music21_notes(found) == our_notes(score)
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
    found = [
        [(n.offset, n.quarterLength, n.pitch.midi) for n in part.flatten().notes]
        for part in music21_score(target).parts
    ]
    assert found == [[(n.onset_quarters, n.length_quarters, n.pitch.midi) for n in line.notes] for line in score.lines]


def test_tuplets_dots_and_ties_survive_music21(tmp_path: Path) -> None:
    (tmp_path / "a.drill").write_text("meter: 4/4\nalto | A4,B,C D,C,B A,-,- G,F,E,D | E - - -,F | - -,G A - |\n")
    score = read_path(tmp_path / "a.drill")
    write_path(score, tmp_path / "a.mxl")
    assert music21_notes(music21_score(tmp_path / "a.mxl")) == our_notes(score)
