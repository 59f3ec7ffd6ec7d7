"""Humdrum kern by hand, case by case, after its reference (D. Huron, The Humdrum Toolkit: Reference Manual, 1994)."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from fux import FOLDER

from trainer.errors import ScoreError
from trainer.formats import read_path
from trainer.formats.kern import read
from trainer.score.model import Key, Score
from trainer.score.time import Meter


def kern(*lines: str) -> bytes:
    """Lines whose columns are set apart by blanks; a chord's notes by a plus."""
    return "\n".join(
        line if line.startswith("!") else "\t".join(line.split()).replace("+", "+" if line.startswith("*") else " ")
        for line in lines
    ).encode()


def one(*tokens: str) -> Score:
    """A single spine with these tokens, a meter in front of them."""
    return read(kern("**kern", "*M4/4", *tokens, "*-"), "x")


def sung(score: Score, line: int = 0) -> str:
    return " ".join(f"{n.pitch}@{n.onset_quarters}+{n.length_quarters}" for n in score.lines[line].notes)


def refused(*lines: str) -> ScoreError:
    with pytest.raises(ScoreError) as caught:
        read(kern(*lines), "hand.krn")
    assert caught.value.where.startswith("hand.krn")
    assert caught.value.do
    assert caught.value.exit_status == 4
    return caught.value


def test_a_worked_figure_of_fux_is_read_from_the_top_with_its_printed_bars() -> None:
    score = read_path(FOLDER / "163.krn")
    assert [" ".join(str(note.pitch) for note in line.notes[:4]) for line in score.lines] == [
        "D4 F4 E4 D4", "A3 A3 C4 B3", "F3 F3 G3 G3", "D3 D3 C3 G3",
    ]  # fmt: skip
    assert score.printed_bars == tuple(str(number) for number in range(12, 23))
    assert [bar.number for bar in score.bars().bars] == list(range(1, 12))
    assert score.voice_names() == ("soprano", "alto", "tenor", "bass")


def begun_notes(path: Path) -> list[int]:
    """Notes begun in each spine, the rightmost first, counted by their letters alone."""
    rows = [line.split("\t") for line in path.read_text().splitlines() if line and line[0] not in "!*="]
    spines = reversed(list(zip(*rows, strict=True)))
    return [
        sum(bool(re.search("[A-Ga-g]", token)) and not re.search(r"[\]_]", token) for token in spine)
        for spine in spines
    ]


def test_every_figure_of_fux_gives_a_line_a_spine_with_every_note_in_it() -> None:
    figures = sorted(FOLDER.glob("*.krn"))
    assert len(figures) == 80
    assert {path.stem: [len(line.notes) for line in read_path(path).lines] for path in figures} == {
        path.stem: begun_notes(path) for path in figures
    }


@pytest.mark.parametrize(
    ("token", "pitch"),
    [("c", "C4"), ("cc", "C5"), ("ccc", "C6"), ("C", "C3"), ("CC", "C2"), ("b-", "Bb4"), ("F#", "F#3"),
     ("gn", "G4"), ("e--", "Ebb4"), ("BB##", "B##2")],
)  # fmt: skip
def test_letters_give_octaves_and_signs(token: str, pitch: str) -> None:
    assert str(one(f"1{token}").lines[0].notes[0].pitch) == pitch


@pytest.mark.parametrize(
    ("token", "quarters"),
    [("4c", 1), ("2.c", 3), ("0c", 8), ("00c", 16), ("000c", 32), ("8..c", Fraction(7, 8)), ("6c", Fraction(2, 3)),
     ("3%2c", Fraction(8, 3)), ("c4", 1), ("(4.c/L]", Fraction(3, 2)), ("20c", Fraction(1, 5))],
)  # fmt: skip
def test_figures_are_parts_of_a_whole_note(token: str, quarters: Fraction) -> None:
    assert one(token).lines[0].notes[0].length_quarters == quarters


def test_ties_over_bars_are_one_note_and_rests_are_gaps() -> None:
    assert sung(one("[1c", "=2", "1c_", "=3", "2c]", "4r", "4c")) == "C4@0+10 C4@11+1"


def test_either_end_of_a_tie_is_believed() -> None:
    assert sung(one("[1c", "=2", "2c", "2c")) == "C4@0+6 C4@6+2"
    assert sung(one("1c", "=2", "2c]", "2c")) == "C4@0+6 C4@6+2"


def test_grace_notes_are_left_out_with_a_remark() -> None:
    score = one("4c", "qd", "8qqe", "2.d")
    assert sung(score) == "C4@0+1 D4@1+3"
    assert score.fact("remark") == "2 grace notes left out"


def test_a_spine_that_splits_gives_its_second_voice_a_line_and_joins_again() -> None:
    names, split, join = '*I"Men *I"Women', "* *^", "* *v *v"
    lines = (
        "**kern **kern",
        names,
        "*M4/4 *M4/4",
        "=1 =1",
        split,
        "1C 2e 1c",
        ". 2f .",
        join,
        "=2 =2",
        "1D 1d",
        "*- *-",
    )
    score = read(kern(*lines), "x")
    assert [line.name for line in score.lines] == ["Women 1", "Women 2", "Men"]
    assert [sung(score, i) for i in range(3)] == ["E4@0+2 F4@2+2 D4@4+4", "C4@0+4", "C3@0+4 D3@4+4"]


def test_two_staves_with_two_voices_each_are_four_lines() -> None:
    score = read(kern("**kern **kern", "*M4/4 *M4/4", "*^ *^", "1c 1C 1g 1e", "*- *- *- *-"), "x")
    assert [sung(score, i) for i in range(4)] == ["G4@0+4", "E4@0+4", "C4@0+4", "C3@0+4"]


def test_chords_are_divided_from_the_top_and_uneven_ones_refused() -> None:
    score = one("2c+2e", "2d")
    assert [sung(score, 0), sung(score, 1)] == ["E4@0+2 D4@2+2", "C4@0+2 D4@2+2"]
    err = refused("**kern", "*M4/4", "2c+2e+2g", "2d+2f", "*-")
    assert "a chord of 2 notes where others have 3" in err.what
    assert "line 4" in err.where


def test_spines_that_change_places_keep_their_voice() -> None:
    score = read(kern("**kern **kern", "*M4/4 *M4/4", "2C 2c", "*x *x", "2d 2D", "*- *-"), "x")
    assert [sung(score, i) for i in range(2)] == ["C4@0+2 D4@2+2", "C3@0+2 D3@2+2"]


def test_a_spine_may_be_added_and_another_end() -> None:
    lines = ("**kern", "*M4/4", "1C", "*+", "* **kern", "=2 =2", "1D 1d", "*- *", "=3", "1e", "*-")
    score = read(kern(*lines), "x")
    assert [sung(score, i) for i in range(2)] == ["D4@4+4 E4@8+4", "C3@0+4 D3@4+4"]


def test_syllables_come_from_the_spine_at_the_right() -> None:
    score = read(kern("**kern **text **dynam", "*M4/4 * *", "2c Ky- p", "4d -ri- .", "4e -e <", "*- *- *-"), "x")
    assert [note.lyric for note in score.lines[0].notes] == ["Ky-", "ri-", "e"]


def test_signs_of_another_spine_between_two_notes_take_no_time() -> None:
    score = read(kern("**kern **dynam", "*M4/4 *", "2c .", ". p", "2d .", "*- *-"), "x")
    assert sung(score) == "C4@0+2 D4@2+2"


def test_meter_key_mode_and_tempo_change_where_they_stand() -> None:
    score = one("*k[b-]", "*G:dor", "*MM72", "=1", "1c", "*M3/2", "=2", "*k[f#c#]", "*b:", "1.c", "*MM60", "=3", "1.d")
    assert score.meters == ((Fraction(0), Meter(4, 4)), (Fraction(4), Meter(3, 2)))
    assert score.keys == ((Fraction(0), Key(-1, "dorian")), (Fraction(4), Key(2, "minor")))
    assert score.tempo.points == ((Fraction(0), Fraction(72)), (Fraction(10), Fraction(60)))


def test_breves_can_be_the_lower_figure_of_a_meter() -> None:
    assert read(kern("**kern", "*M3/0", "0.c", "0.d", "*-"), "x").meters == ((Fraction(0), Meter(6, 1)),)


def test_a_short_first_measure_is_a_pickup() -> None:
    score = one("4g", "=1", "1cc", "=2", "2.cc", "==")
    assert score.pickup_quarters == 1
    assert [str(score.bars().place(n.onset_quarters)) for n in score.lines[0].notes][:2] == [
        "bar 0 beat 4",
        "bar 1 beat 1",
    ]


def letters(score: Score) -> str:
    return "".join(note.pitch.step for note in score.lines[0].notes)


def test_repeat_signs_are_unfolded_and_bars_count_on() -> None:
    score = one("=1", "1a", "=2!|:", "1b", "=3:|!", "1c", "=:|!|:", "1d", "=:|!")
    assert letters(score) == "ABBCCDD"
    assert [bar.number for bar in score.bars().bars] == [1, 2, 3, 4, 5, 6, 7]
    assert [bar.printed for bar in score.bars().bars] == ["1", "2", "2", "3", "3", "6", "7"]


def test_a_list_of_sections_says_the_order() -> None:
    score = one("*>[A,B,A]", "*>norep[A,B]", "*>A", "=1", "1a", "=2:|!", "*>B", "1b", "==")
    assert letters(score) == "ABA"


def test_names_come_from_the_instrument_or_its_code() -> None:
    names = '*Ibass *Itenor *Itenor *Icalto *I"Cantus'
    score = read(
        kern(" ".join(["**kern"] * 5), names, " ".join(["*M4/4"] * 5), "1C 1c 1e 1g 1cc", " ".join(["*-"] * 5)), "x"
    )
    assert [line.name for line in score.lines] == ["Cantus", "contralto", "tenor", "tenor (2)", "bass"]


def test_the_title_comes_from_the_reference_records() -> None:
    score = read(b"!!!OPR: Missa\n!!!OTL@@DE: Kyrie\n" + kern("**kern", "*M4/4", "1c", "*-"), "x")
    assert score.title == "Missa, Kyrie"


def test_old_files_in_latin_1_are_read() -> None:
    assert read("!!!OTL: Für vier\n".encode("latin-1") + kern("**kern", "*M4/4", "1c", "*-"), "x").title == "Für vier"


@pytest.mark.parametrize(
    ("lines", "what", "line"),
    [
        (("**kern **kern", "*M4/4 *M4/4", "2c 1e", "4d 4f", "*- *-"), "spine 2 begins a note while its last one still", 4),
        (("**kern **kern", "*M4/4 *M4/4", "4c 2e", ". 2f", "*- *-"), "its last note has ended", 4),
        (("**kern **kern", "*M4/4 *M4/4", "1c", "*- *-"), "1 columns, and there are 2 spines", 3),
        (("**kern", "*M4/4", "1c"), "ends before its spines do", 3),
        (("**kern", "*M4/4", "4", "*-"), "neither a pitch nor the r of a rest", 3),
        (("**kern", "*M4/4", "c", "*-"), "has no note value", 3),
        (("**kern", "*M4/4", "4R", "*-"), "neither a pitch", 3),
        (("**kern", "*M4/4", "4c###", "*-"), "cannot be written", 3),
        (("**kern", "*M4/4", "4cccccccccc", "*-"), "cannot be sounded", 3),
        (("**kern", "*M4/4", "*v", "1c", "*-"), "no neighbour joins", 3),
        (("**kern", "*M4/4", "*x", "1c", "*-"), "no neighbour does", 3),
        (("**kern", "*M99/4", "1c", "*-"), "99/4 is not a meter", 2),
        (("**kern", "*k[f#b-]", "1c", "*-"), "not a usual one", 2),
        (("**kern", "*M4/4", "2c", "*M3/4", "2d", "*-"), "the meter changes inside a measure", 5),
        (("**kern", "*M4/4", "1c", "*-", "**kern", "1c", "*-"), "a second piece begins", 5),
    ],
)  # fmt: skip
def test_a_slip_is_answered_with_its_line(lines: tuple[str, ...], what: str, line: int) -> None:
    err = refused(*lines)
    assert what in err.what
    assert f"line {line}" in err.where


@pytest.mark.parametrize(
    "text", ["**dynam\np\n*-\n", "**kern\n*-\n", "**kern\n*M4/4\n4r\n*-\n", "no spines\n", "**kern\n" + "*^\n" * 3]
)
def test_a_file_without_notes_is_refused(text: str) -> None:
    with pytest.raises(ScoreError):
        read(text.encode(), "x")


def test_unmetered_music_is_refused_and_steady_bars_without_a_meter_are_counted() -> None:
    assert "no meter" in refused("**kern", "*MX", "1c", "=", "2d", "*-").what
    score = read(kern("**kern", "=1", "1c", "=2", "1d", "=3", "1e", "*-"), "x")
    assert score.meters == ((Fraction(0), Meter(4, 4)),)
