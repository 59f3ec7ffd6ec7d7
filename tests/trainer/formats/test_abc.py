"""ABC by hand, case by case, after its standard (The abc music standard 2.1, December 2011; section numbers in the tests, from memory)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from trainer.errors import ScoreError
from trainer.formats.abc import read
from trainer.score.model import Key, Score
from trainer.score.time import Meter


def tune(body: str, *, head: str = "M:4/4\nL:1/4\n", key: str = "C") -> Score:
    return read(f"X:1\nT:Slack Water\n{head}K:{key}\n{body}\n".encode(), "x")


def sung(score: Score, line: int = 0) -> str:
    return " ".join(f"{n.pitch}@{n.onset_quarters}+{n.length_quarters}" for n in score.lines[line].notes)


def names(score: Score, line: int = 0) -> str:
    return " ".join(str(note.pitch) for note in score.lines[line].notes)


def letters(score: Score) -> str:
    return "".join(note.pitch.step for note in score.lines[0].notes)


def refused(text: str) -> ScoreError:
    with pytest.raises(ScoreError) as caught:
        read(text.encode(), "hand.abc")
    assert caught.value.where.startswith("hand.abc")
    assert caught.value.do
    assert caught.value.exit_status == 4
    return caught.value


def test_letters_commas_and_apostrophes_give_octaves() -> None:
    assert names(tune("C,, C, C c|c' c'' z2|")) == "C2 C3 C4 C5 C6 C7"


@pytest.mark.parametrize(
    ("written", "quarters"),
    [("A", 1), ("A2", 2), ("A3/2", Fraction(3, 2)), ("A/", Fraction(1, 2)), ("A//", Fraction(1, 4)), ("A/4", Fraction(1, 4)),
     ("A3/", Fraction(3, 2))],
)  # fmt: skip
def test_figures_and_slashes_multiply_the_unit(written: str, quarters: Fraction) -> None:
    assert tune(f"{written}|").lines[0].notes[0].length_quarters == quarters


def test_the_unit_follows_the_meter_where_no_field_gives_it() -> None:
    # 3.1.7: below 3/4 a sixteenth, else an eighth
    assert tune("A|", head="M:2/4\n").lines[0].notes[0].length_quarters == Fraction(1, 4)
    assert tune("A|", head="M:3/4\n").lines[0].notes[0].length_quarters == Fraction(1, 2)


@pytest.mark.parametrize(
    ("key", "pitches", "fifths", "mode"),
    [("G", "F#4 B4 E4", 1, "major"), ("Bb", "F4 Bb4 Eb4", -2, "major"), ("Ddor", "F4 B4 E4", 0, "dorian"),
     ("E Phrygian", "F4 B4 E4", 0, "phrygian"), ("F#m", "F#4 B4 E4", 3, "minor"), ("Cminor", "F4 Bb4 Eb4", -3, "minor"),
     ("A MIX", "F#4 B4 E4", 2, "mixolydian"), ("none", "F4 B4 E4", 0, ""), ("Hp", "F#4 B4 E4", 2, ""),
     ("D exp _b _e", "F4 Bb4 Eb4", 2, "major"), ("C ^f", "F#4 B4 E4", 0, "major"), ("G clef=bass", "F#4 B4 E4", 1, "major")],
)  # fmt: skip
def test_keys_modes_and_extra_signs(key: str, pitches: str, fifths: int, mode: str) -> None:
    score = tune("F B E z|", key=key)
    assert names(score) == pitches
    assert score.keys == ((Fraction(0), Key(fifths, mode)),)


def test_a_sign_holds_through_the_bar_in_every_octave() -> None:
    # 11.3: the standard's default
    assert names(tune("^F F f =F|F f z2|")) == "F#4 F#4 F#5 F4 F4 F5"


@pytest.mark.parametrize(
    ("how", "expected"), [("octave", "F#4 F#4 F5"), ("not", "F#4 F4 F5"), ("pitch", "F#4 F#4 F#5")]
)
@pytest.mark.parametrize("written", ["%%propagate-accidentals {}\n", "I:propagate-accidentals {}\n"])
def test_how_far_a_sign_holds_can_be_said(how: str, expected: str, written: str) -> None:
    assert names(tune("^F F f z|", head="M:4/4\nL:1/4\n" + written.format(how))) == expected


def test_a_tied_note_keeps_its_sign_over_the_bar_and_the_next_does_not() -> None:
    assert sung(tune("z3 ^F-|F F z2|")) == "F#4@3+2 F4@5+1"


def test_ties_rests_and_chords() -> None:
    score = tune("[CE]2- [CE] z|[C-E-]2 [CE]2|")
    assert [sung(score, i) for i in range(2)] == ["E4@0+3 E4@4+4", "C4@0+3 C4@4+4"]


@pytest.mark.parametrize(
    ("written", "expected"),
    [("A>B z2|", "A4@0+3/2 B4@3/2+1/2"), ("A<B z2|", "A4@0+1/2 B4@1/2+3/2"), ("A>>B z2|", "A4@0+7/4 B4@7/4+1/4"),
     ('A > "4".B z2|', "A4@0+3/2 B4@3/2+1/2"), ("A>z B2|", "A4@0+3/2 B4@2+2")],
)  # fmt: skip
def test_broken_rhythm(written: str, expected: str) -> None:
    assert sung(tune(written)) == expected


@pytest.mark.parametrize(
    ("head", "written", "lengths"),
    [("M:4/4", "(3ABc z3|", ["2/3"] * 3), ("M:4/4", "(3A/B/c/ z3|", ["1/3"] * 3), ("M:4/4", "(3:2:2 A2 B z2|", ["4/3", "2/3"]),
     ("M:6/8", "(2AB z3|", ["3/2"] * 2), ("M:4/4", "(5ABcde z2|", ["2/5"] * 5), ("M:6/8", "(5ABcde z3|", ["3/5"] * 5),
     ("M:4/4", "(4ABcd z|", ["3/4"] * 4)],
)  # fmt: skip
def test_tuplets(head: str, written: str, lengths: list[str]) -> None:
    score = tune(written, head=f"{head}\nL:1/4\n")
    assert [str(note.length_quarters) for note in score.lines[0].notes] == lengths


def test_grace_notes_decorations_and_annotations_take_no_time() -> None:
    score = tune('{AB}"^ebb"!trill!.c ~B uA (G|) vF4|]')
    assert sung(score) == "C5@0+1 B4@1+1 A4@2+1 G4@3+1 F4@4+4"
    assert score.fact("remark") == "2 grace notes left out"


FOUR = """X:1
T:Four at the Lock
M:4/4
L:1/4
Q:1/4=72
V:S name="Soprano"
V:A nm="Alto"
V:T name="Tenor" clef=treble-8
V:B name="Bass" clef=bass
K:Ddor
V:S
a4|[V:S]d2 ^c2|
V:A
f4|
V:T
d'4|a2 a2|
V:B
D,4|A,4|
V:A
d2 e2|
"""


def test_four_voices_with_names_and_an_octave_clef() -> None:
    score = read(FOUR.encode(), "x")
    assert [line.name for line in score.lines] == ["Soprano", "Alto", "Tenor", "Bass"]
    assert [names(score, i) for i in range(4)] == ["A5 D5 C#5", "F5 D5 E5", "D5 A4 A4", "D3 A3"]
    assert score.tempo.points == ((Fraction(0), Fraction(72)),)
    assert score.title == "Four at the Lock"


def test_octaves_and_transpositions_of_a_voice_sound() -> None:
    body = "V:1 octave=-1\nd4|\nV:2 transpose=-2\nd4|"
    score = tune(body)
    assert [names(score, i) for i in range(2)] == ["D4", "C5"]


def test_voices_laid_over_one_another_are_lines() -> None:
    score = tune("c4 & A2 F2|d4 & G4|")
    assert [sung(score, i) for i in range(2)] == ["C5@0+4 D5@4+4", "A4@0+2 F4@2+2 G4@4+4"]


def test_bars_of_rest_are_counted() -> None:
    assert sung(tune("c4|Z2|d4|")) == "C5@0+4 D5@12+4"


def test_signs_for_words_beyond_the_last_note_are_sung_by_nobody() -> None:
    score = tune("c4|\nw: * * | * a - b |\nd4|\nw: * _ - |\n")
    assert [note.lyric for note in score.lines[0].notes] == ["", ""]


def test_meter_key_unit_and_tempo_change_in_brackets_and_in_lines() -> None:
    score = tune("c4|[M:3/4][K:G][Q:1/2=40] f3|\nL:1/8\nK:Gm\nb6|")
    assert sung(score) == "C5@0+4 F#5@4+3 Bb5@7+3"
    assert score.meters == ((Fraction(0), Meter(4, 4)), (Fraction(4), Meter(3, 4)))
    assert score.keys == (
        (Fraction(0), Key(0, "major")),
        (Fraction(4), Key(1, "major")),
        (Fraction(7), Key(-2, "minor")),
    )
    assert score.tempo.points == ((Fraction(0), Fraction(60)), (Fraction(4), Fraction(80)))


@pytest.mark.parametrize(("text", "meter"), [("C", "4/4"), ("C|", "2/2"), ("6/8", "6/8"), ("(2+3)/8", "5/8")])
def test_meters_are_written_in_several_ways(text: str, meter: str) -> None:
    assert str(tune("A|", head=f"M:{text}\n").meters[0][1]) == meter


@pytest.mark.parametrize(
    ("written", "order"),
    [("A4|:B4:|c4|", "ABBC"), ("A4|B4:|c4|", "ABABC"), ("A4|:B4|1c4:|2d4||e4|", "ABCBDE"), ("A4|:B4::c4:|", "ABBCC"),
     ("|::A4::|", "AAA"), ("|:A4|[1,2B4:|[3c4|]", "ABABAC"), ("|:A4|1-2B4:|3 c4|]", "ABABAC"),
     ("A4!fine!|B4!D.C.!|", "ABA"), ("A4|!segno!B4!fine!|c4!D.S.!|", "ABCB"), ("A4!dacoda!|B4!D.C.!|!coda!c4|", "ABAC")],
)  # fmt: skip
def test_repeats_endings_and_jumps_are_unfolded(written: str, order: str) -> None:
    assert letters(tune(written)) == order


@pytest.mark.parametrize(("parts", "order"), [("AB", "AB"), ("A2B", "AAB"), ("(AB)2A", "ABABA"), ("A.B3", "ABBB")])
def test_an_order_of_parts_is_played(parts: str, order: str) -> None:
    assert letters(tune("P:A\nA4|\nP:B\nB4|", head=f"P:{parts}\nM:4/4\nL:1/4\n")) == order


def test_music_before_the_first_part_is_played_first() -> None:
    assert letters(tune("|:C4:|\nP:A\nA4|\nP:B\nB4|", head="P:BA\nM:4/4\nL:1/4\n")) == "CCBA"


def test_a_short_first_bar_is_a_pickup() -> None:
    score = tune("G|c4|d4|")
    assert score.pickup_quarters == 1
    assert str(score.bars().place(Fraction(0))) == "bar 0 beat 4"


def test_words_stand_under_their_notes() -> None:
    score = tune("c d e f|g4 a4|\nw: low ti-dal_ | mark\\-er~two * \nb4|\nw: ebb\n")
    assert [n.lyric for n in score.lines[0].notes] == ["low", "ti-", "dal", "", "mark-er two", "", "ebb"]


def test_words_stand_under_the_voice_that_a_line_begins_with() -> None:
    body = "[V:1] c2 d2|\nw: low tide\n[V:2] e4|\nw: bell\n[V:1] f4|\nw: ebb\n[V:2] g2 a2|\nw: two oars\n"
    score = tune(body)
    assert [[note.lyric for note in line.notes] for line in score.lines] == [
        ["low", "tide", "ebb"],
        ["bell", "two", "oars"],
    ]


def test_the_second_time_sings_the_second_verse() -> None:
    assert [n.lyric for n in tune("|:c4:|\nw: one\nw: two").lines[0].notes] == ["one", "two"]


def test_old_files_in_latin_1_are_read() -> None:
    assert read("X:1\nT:Föhre\nM:C\nK:C\nA8|\n".encode("latin-1"), "x").title == "Föhre"


def test_a_silent_voice_is_left_out_with_a_remark() -> None:
    assert tune("V:1\nc4|\nV:2\nz4|").fact("remark") == "2 left out: no notes in it"


def test_text_behind_the_tune_is_not_music() -> None:
    assert letters(tune("A4|\n\nThis was sung at the lock.")) == "A"


HEAD = "X:1\nM:4/4\nL:1/4\nK:C\n"


@pytest.mark.parametrize(
    ("text", "what", "line"),
    [
        ("X:1\nM:4/4\nA4|\n", "does not end with its key", 3),
        (HEAD + "A4|\n\nX:2\nK:C\nB4|\n", "holds 2 tunes", 0),
        ("M:4/4\nK:C\nA4|\n", "holds no ABC tune", 0),
        ("X:1\nM:none\nK:C\nA4|B3|\n", "no meter", 4),
        ("X:1\nM:4/5\nK:C\nA4|\n", "M:4/5 is not a meter", 2),
        ("X:1\nM:4/4\nK:H\nA4|\n", "K:H is not a key", 3),
        ("X:1\nM:4/4\nK:Cfoo\nA4|\n", "'foo' is not a mode", 3),
        ("X:1\nM:4/4\nL:a\nK:C\nA4|\n", "L:a is not a note length", 3),
        ("X:1\nM:4/4\nQ:fast\nK:C\nA4|\n", "Q:fast is not a tempo", 3),
        ("X:1\nM:4/4\nK:C\nV:1 clef=perc\nA8|\n", "percussion", 4),
        (HEAD + "A B ?|\n", "'?|' (character 5) is no music", 5),
        (HEAD + "A/0|\n", "not a note length", 5),
        (HEAD + "-A|\n", "has no note in front", 5),
        (HEAD + ">A|\n", "does not stand between two notes", 5),
        (HEAD + "A>|B|\n", "runs over a bar line", 5),
        (HEAD + "A [M:3/4] B|\n", "the meter changes inside a bar", 5),
        (HEAD + "[A?]|\n", "'?', which is no note", 5),
        (HEAD + "A [1 B|\n", "an ending begins inside a bar", 5),
        (HEAD + "A Z B|\n", "bars of rest", 5),
        (HEAD + "V:1\nA4|B4|\nV:2\nA4|\n", "2 has 1 bar, 1 has 2", 0),
        (HEAD + "V:1\nA4|B4|\nV:2\nA4|B3|\n", "bar 2 of the voice 2 is not as long", 8),
        (HEAD + "z4|\n", "no notes", 0),
        (HEAD + "A,,,,,,,|\n", "cannot be sounded", 5),
        ("X:1\nP:A(B\nM:4/4\nK:C\nA4|\n", "leaves a bracket open", 2),
        ("X:1\nP:AC\nM:4/4\nL:1/4\nK:C\nP:A\nA4|\n", "a part 'C'", 0),
        (HEAD + "[CEG]4|[CE]4|\n", "a chord of 2 notes where others have 3", 5),
        (HEAD + "".join(f"V:{n}\nA4|\n" for n in range(9)), "9 voices", 0),
    ],
)
def test_a_slip_is_answered_with_its_line(text: str, what: str, line: int) -> None:
    err = refused(text)
    assert what in err.what
    assert f"line {line}" in err.where or not line
