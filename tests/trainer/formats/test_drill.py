"""The drill text: what is typed is what is sung, and every slip is told with its line, its word and a way out."""

from __future__ import annotations

import inspect
import textwrap
from fractions import Fraction

import pytest

from trainer.errors import ScoreError
from trainer.formats import drill
from trainer.formats.drill import read, write
from trainer.score.model import Key, Score
from trainer.score.time import Meter


def typed(*lines: str) -> Score:
    return read("\n".join(lines).encode(), "my.drill")


def refused(*lines: str) -> ScoreError:
    with pytest.raises(ScoreError) as caught:
        typed(*lines)
    assert caught.value.do
    return caught.value


def sung(score: Score, line: int = 0) -> list[tuple[str, str, str]]:
    return [(str(n.onset_quarters), str(n.length_quarters), str(n.pitch)) for n in score.lines[line].notes]


def pitches(score: Score, line: int = 0) -> list[str]:
    return [str(note.pitch) for note in score.lines[line].notes]


def example() -> str:
    """The example of the format's own description, which the read-me repeats."""
    text = inspect.getdoc(drill) or ""
    return textwrap.dedent(text.split("::\n", 1)[1].split("\nA line is", 1)[0])


def test_the_example_of_the_description_is_a_whole_exercise() -> None:
    score = read(example().encode(), "x")
    assert score.title == "Two Oars"
    assert [line.name for line in score.lines] == ["soprano", "bass"]
    assert sung(score) == [
        ("2", "4", "A4"),
        ("6", "4", "G4"),
        ("10", "4", "F4"),
        ("14", "4", "E4"),
        ("18", "2", "C#4"),
        ("20", "4", "D4"),
    ]
    assert [note.lyric for note in score.lines[0].notes] == ["One", "oar", "two", "oars", "drift", "ing"]
    assert score.lines[0].notes[4].breath_after
    assert score.keys == ((Fraction(0), Key(0, "dorian")),)
    assert score.fact("species") == "4"
    assert score.tempo.points == ((Fraction(0), Fraction(72)),)


@pytest.mark.parametrize(
    ("meter", "bar", "lengths"),
    [
        ("4/4", "A4", ["4"]),
        ("4/4", "A4 B", ["2", "2"]),
        ("4/4", "A4 - - B", ["3", "1"]),
        ("4/4", "A4 B C D", ["1", "1", "1", "1"]),
        ("4/4", "A4 - - G,F", ["3", "1/2", "1/2"]),
        ("4/4", "A4 B,C,D", ["2", "2/3", "2/3", "2/3"]),
        ("4/4", "A4 -,B C D", ["3/2", "1/2", "1", "1"]),
        ("3/4", "A4 - B", ["2", "1"]),
        ("3/2", "A4", ["6"]),
        ("3/2", "A4 B C", ["2", "2", "2"]),
        ("6/8", "A4 B", ["3/2", "3/2"]),
        ("6/8", "A4 B C D E F", ["1/2"] * 6),
        ("2/2", "A4 B", ["2", "2"]),
    ],
)
def test_words_share_the_bar(meter: str, bar: str, lengths: list[str]) -> None:
    score = typed(f"meter: {meter}", f"alto | {bar} |")
    assert [length for _, length, _ in sung(score)] == lengths


def test_a_note_without_octave_is_the_nearest_by_letters() -> None:
    score = typed("alto | A4 C# E B | F,G C3 B . | G4 F# Gb B#")
    assert pitches(score) == ["A4", "C#5", "E5", "B4", "F4", "G4", "C3", "B2", "G4", "F#4", "Gb4", "B#4"]


def test_small_letters_and_printed_signs_are_taken_too() -> None:
    assert pitches(typed("alto | bb4 a♭ f♯ e |")) == ["Bb4", "Ab4", "F#4", "E4"]


def test_ties_run_over_any_number_of_bar_lines() -> None:
    assert sung(typed("alto | A4 | - | - G |")) == [("0", "10", "A4"), ("10", "2", "G4")]


def test_a_voice_goes_on_in_a_later_line_whatever_its_capitals() -> None:
    score = typed("alto | A4 | G |", "bass | D3 | E |", "", "Alto | F | - |", "bass | F | D |")
    assert pitches(score) == ["A4", "G4", "F4"]
    assert pitches(score, 1) == ["D3", "E3", "F3", "D3"]


def test_remarks_are_left_out() -> None:
    score = typed("; by hand", "alto | A4 | G | ; the clash", "; end")
    assert pitches(score) == ["A4", "G4"]


def test_a_pickup_is_bar_0() -> None:
    score = typed("meter: 3/4", "pickup: 1", "alto | A4 | B C D |")
    assert score.pickup_quarters == 1
    assert [bar.number for bar in score.bars().bars] == [0, 1]
    assert sung(score)[0] == ("0", "1", "A4")
    assert score.bars().first_full_quarters == 1


def test_meter_key_and_tempo_change_where_they_say() -> None:
    score = typed(
        "meter: 4/4, 3/2 from bar 2",
        "key: 2 flats, D dorian from bar 3",
        "tempo: 72, 60.5 from bar 2 beat 3",
        "alto | A4 | B C D | E |",
    )
    assert score.meters == ((Fraction(0), Meter(4, 4)), (Fraction(4), Meter(3, 2)))
    assert score.keys == ((Fraction(0), Key(-2, "")), (Fraction(10), Key(0, "dorian")))
    assert score.tempo.points == ((Fraction(0), Fraction(72)), (Fraction(8), Fraction(121, 2)))


def test_a_meter_change_inside_a_bar_cuts_it_short() -> None:
    score = typed("meter: 4/4, 3/4 from bar 2 beat 3", "alto | A4 | B | C |")
    assert [str(length) for _, length, _ in sung(score)] == ["4", "2", "3"]
    assert read(write(score), "x") == score


def test_facts_are_settled() -> None:
    score = typed(
        "species: florid",
        "mode: e-flat Lydian",
        "sing: Alto",
        "fact shelf: top; left",
        "soprano | B4 |",
        "alto | G4 |",
        "bass | Eb3 |",
    )
    assert score.facts == (("species", "5"), ("mode", "Eb lydian"), ("sing", "alto"), ("shelf", "top; left"))
    assert score.keys == ((Fraction(0), Key(-2, "lydian")),)
    assert read(write(score), "x") == score


def test_words_may_skip_notes_and_hold_spaces() -> None:
    score = typed("alto | A4 B C D |", r"alto words: low . wa-_ter \.")
    assert [note.lyric for note in score.lines[0].notes] == ["low", "", "wa- ter", "."]
    assert read(write(score), "x") == score


def test_windows_and_utf_16_files_are_read() -> None:
    text = "title: Brücke\r\nalto | A4 | B |\r\n"
    for content in (text.encode("utf-8-sig"), text.encode("utf-16"), text.encode()):
        assert read(content, "x").title == "Brücke"


def test_a_title_is_the_files_name_where_none_is_given() -> None:
    assert read(b"alto | A4 |", "folder/low tide.drill").title == "low tide"


def test_a_wrong_letter_is_told_with_line_and_word() -> None:
    err = refused("title: x", "alto | A4 B C D | E H4 F G |")
    assert err.what == "note 'H4' is not a pitch"
    assert err.where == "my.drill, line 2, word 7:  alto | A4 B C D | E H4 F G |"
    assert "letters A to G" in err.do


def test_a_bar_that_cannot_be_shared_is_told_with_bar_voice_and_quarters() -> None:
    err = refused("alto | A4 | B C D | E |", "bass | D3 | E | F |")
    assert err.what == "bar 2 of the alto holds 3 words, which cannot share its 4 quarters (4/4) evenly"
    assert "line 1" in err.where
    assert "1, 2, 4, 8, 16 or 32" in err.do


def test_an_empty_bar_is_told() -> None:
    assert refused("alto | A4 | | B |").what == "bar 2 of the alto is empty: 0 of 4 quarters"


def test_voices_of_different_length_are_told_with_both_counts() -> None:
    err = refused("soprano | A4 | B | C |", "bass | D3 | E |")
    assert err.what == "the bass has 2 bars and the soprano has 3"


def test_the_first_note_wants_its_octave() -> None:
    assert "no octave" in refused("alto | A | B |").what


@pytest.mark.parametrize(
    ("lines", "what"),
    [
        (["alto | - |"], "no note to hold"),
        (["alto | A4 . - B |"], "no note to hold"),
        (["alto | A4 |", "tempo: fast"], "'fast' is not a tempo"),
        (["alto | A4 |", "tempo: 0"], "cannot be sung"),
        (["alto | A4 |", "meter: 4/3"], "'4/3' is not a meter"),
        (["alto | A4 |", "meter: 4/4, 3/4"], "does not say where"),
        (["alto | A4 |", "meter: 4/4, 3/4 from bar 9 beat 5"], "no such beat"),
        (["alto | A4 |", "key: H minor"], "'H minor' is not a key"),
        (["alto | A4 |", "mode: B dorain"], "'B dorain' is not a"),
        (["alto | A4 |", "pickup: 4"], "does not fit"),
        (["alto | A4 |", "species: sixth"], "'sixth' is not a species"),
        (["alto | A4 |", "level:"], "the header level says nothing"),
        (["alto | A4 |", "sing: "], "the header sing says nothing"),
        (["soprano | A4 |", "bass | A3 |", "sing: tenor"], "'tenor' is not a voice"),
        (["alto | A4 |", "titel: x"], "'titel' is not a header"),
        (["alto | A4 |", "title: x", "title: y"], "second time"),
        (["alto | A4 |", "hello there"], "neither a header nor a voice"),
        (["| A4 |"], "has no name"),
        (["alto | A4 |", "tenor words: la"], "no voice is called 'tenor'"),
        (["alto | A4 |", "alto words: la la"], "more syllables"),
        (["title: x"], "no voice"),
        (["alto | . |"], "no note"),
        (["alto | A4 |", "level: high"], "'high' is not a level"),
        (["alto | A4 |", "compass: A4"], "'A4' is not a compass"),
        (["alto | A4 |", "compass: A B"], "'A B' is not a compass"),
        (["alto | A99 |"], "outside what can be sounded"),
    ],
)
def test_every_slip_has_a_sentence_and_a_next_step(lines: list[str], what: str) -> None:
    err = refused(*lines)
    assert what in err.what
    assert err.where.startswith("my.drill")


@pytest.mark.parametrize(
    ("lines", "meant"),
    [
        (["alto | A4 |", "titel: x"], "title"),
        (["alto | A4 |", "spezies: 4"], "species"),
        (["soprano | A4 |", "sopranno | B | C |", "bass | D3 | E |"], "sopranno"),
        (["soprano | A4 | B |", "bass | A3 | B |", "basss | C |"], "bass"),
        (["alto | A4 |", "alo words: la"], "alto"),
        (["soprano | A4 |", "bass | A3 |", "sing: sopran"], "soprano"),
        (["alto | A4 |", "mode: B dorain"], "dorian"),
        (["alto | A4 |", "key: B locrain"], "locrian"),
        (["alto | A4 |", "species: forth"], "fourth"),
    ],
)
def test_a_misspelt_name_is_guessed(lines: list[str], meant: str) -> None:
    assert f"did you mean {meant}?" in refused(*lines).do


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("H4", "B4"), ("Fis4", "F#4"), ("es4", "Eb4"), ("As3", "Ab3"), ("4F", "F4"), ("F4#", "F#4"), ("F44", "F4"), ("^F4", "F#4"),
        ("_B4", "Bb4"), ("B-4", "Bb4"), ("sol4", "G4"), ("Fsharp4", "F#4"), ("F+4", "F#4"), ("(A4)", "A4"), ("r", "."), ("z", "."),
        ("_", "-"), ("--", "-"),
    ],
)  # fmt: skip
def test_a_note_of_another_notation_is_understood_and_its_own_word_given(typed: str, meant: str) -> None:
    err = refused(f"alto | A4 {typed} |")
    assert f"word 3:  alto | A4 {typed} |" in err.where
    assert f"did you mean {meant}?" in err.do
    read(f"alto | A4 {meant} |".encode(), "x")


@pytest.mark.parametrize("typed", ["N4", "foo", "??", "12"])
def test_a_word_that_is_like_no_note_is_not_guessed(typed: str) -> None:
    assert "did you mean" not in refused(f"alto | A4 {typed} |").do


def test_a_file_that_is_not_text_is_told() -> None:
    with pytest.raises(ScoreError, match="not UTF-8 text"):
        read(b"title: \xff\xfe\xfa", "x")


def test_a_drill_of_a_thousand_bars_reads_in_a_second() -> None:
    import time

    lines = [f"v{number} | {' | '.join(['A4 B C D'] * 1000)} |" for number in range(4)]
    before = time.process_time()
    assert len(typed(*lines).lines[3].notes) == 4000
    assert time.process_time() - before < 1.0
