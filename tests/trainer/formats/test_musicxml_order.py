"""In which order the measures of MusicXML are sung: repeats, endings, da capo, dal segno, coda (MusicXML 4.0, W3C 2021)."""

from __future__ import annotations

import re

import pytest
from musicxml_text import bars, document, note, refused

from trainer.formats.musicxml import read
from trainer.score.model import Score
from trainer.section.copies import Copies

FORWARD = "<barline location='left'><repeat direction='forward'/></barline>"
BACKWARD = "<barline location='right'><repeat direction='backward'/></barline>"


def ending(numbers: str, *, backward: str = "") -> tuple[str, str]:
    return (
        f"<barline location='left'><ending number='{numbers}' type='start'/></barline>",
        f"<barline location='right'><ending number='{numbers}' type='stop'/>{backward}</barline>",
    )


def order(score: Score) -> str:
    return "".join(note.pitch.step for note in score.lines[0].notes)


def test_a_repeat_is_sung_twice_and_bars_count_on() -> None:
    a, b, c = bars("A4", "B4", "C5")
    score = read(document([a, FORWARD + b + BACKWARD, c]), "x")
    assert order(score) == "ABBC"
    assert [bar.number for bar in score.bars().bars] == [1, 2, 3, 4]
    assert [bar.printed for bar in score.bars().bars] == ["1", "2", "2", "3"]


def test_endings_are_taken_in_turn() -> None:
    a, b, c, d, e = bars("A4", "B4", "C5", "D5", "E5")
    back = "<repeat direction='backward'/>"
    (o1, c1), (o2, c2) = ending("1, 2", backward=back), ending("3")
    assert order(read(document([a, b, o1 + c + c1, o2 + d + c2, e]), "x")) == "ABCABCABDE"


def test_two_repeated_sections_are_sung_one_after_the_other() -> None:
    a, b, c = bars("A4", "B4", "C5")
    times = "<barline location='right'><repeat direction='backward' times='3'/></barline>"
    assert order(read(document([a + BACKWARD, FORWARD + b + times, c]), "x")) == "AABBBC"


def test_verses_go_with_the_times_through() -> None:
    lyric = "".join(f"<lyric number='{n}'><text>{word}</text></lyric>" for n, word in ((1, "ebb"), (2, "flow")))
    score = read(document([note("A4", 8, inside=lyric) + BACKWARD]), "x")
    assert [n.lyric for n in score.lines[0].notes] == ["ebb", "flow"]


@pytest.mark.parametrize(
    ("content", "what"),
    [
        ("<note><unpitched/><duration>8</duration></note>", "percussion"),
        (
            "<attributes><measure-style><measure-repeat type='start'>1</measure-repeat></measure-style></attributes>",
            "not written out",
        ),
        (note("C4", 8).replace("<octave>", "<alter>0.5</alter><octave>"), "quarter-tone"),
        (note("C4", 8).replace("<duration>8", "<duration>eight"), "'eight' is not a duration"),
        (note("C4", 8).replace("<step>C", "<step>H"), "'H' is not a letter"),
        ("<attributes><divisions>0</divisions></attributes>", "without divisions"),
    ],
)
def test_what_cannot_be_sung_is_refused_with_the_reason(content: str, what: str) -> None:
    err = refused(document([note("C4", 8), content]))
    assert what in err.what
    assert "measure 2" in err.where


def said(attributes: str) -> str:
    return f"<direction><direction-type><words>sign</words></direction-type><sound {attributes}/></direction>"


def printed(*kinds: str) -> str:
    return f"<direction><direction-type>{''.join(kinds)}</direction-type></direction>"


@pytest.mark.parametrize(
    ("fine", "capo"),
    [
        (said("fine='yes'"), said("dacapo='yes'")),
        (printed("<words>Fine</words>"), printed("<words>D. C. al Fine</words>")),
        (printed("<words>fine.</words>"), printed("<words>Da Capo al Fine</words>")),
    ],
)
def test_da_capo_is_sung_to_fine_without_the_repeats(fine: str, capo: str) -> None:
    a, b, c, d = bars("A4", "B4", "C5", "D5")
    assert order(read(document([a, b + fine + BACKWARD, c, d + capo]), "x")) == "ABABCDAB"


def test_dal_segno_goes_to_the_coda_and_takes_the_last_ending() -> None:
    (o1, c1), (o2, c2) = ending("1", backward="<repeat direction='backward'/>"), ending("2")
    a, b, c, d, e, f, g = bars("A4", "B4", "C5", "D5", "E5", "F5", "G5")
    parts = [
        a,
        printed("<segno/>") + b,
        o1 + c + c1,
        o2 + d + c2,
        e + said("tocoda='coda'"),
        f + said("dalsegno='segno'"),
        said("coda='coda'") + g,
    ]
    assert order(read(document(parts), "x")) == "ABCABDEFBDEG"


def test_the_words_to_coda_with_the_sign_are_the_way_out_and_not_the_coda() -> None:
    a, b, c = bars("A4", "B4", "C5")
    out, back = printed("<words>To Coda</words>", "<coda/>"), printed("<words>D.C. al Coda</words>")
    assert order(read(document([a + out, b + back, printed("<coda/>") + c]), "x")) == "ABAC"


@pytest.mark.parametrize(
    ("measures", "what"),
    [
        (["A", "B" + said("dalsegno='s'")], "no segno"),
        ([printed("<segno/>") + "A", printed("<segno/>") + "B", "C" + said("dalsegno='s'")], "several segno"),
        (["A" + said("tocoda='c'"), "B" + said("dacapo='yes'")], "leads to no coda"),
        (["A", "D" + said("fine='yes'") + "E", "C" + said("dacapo='yes'")], "a Fine stands inside"),
        (["A", "D" + said("dacapo='yes'") + "E"], "a jump back stands inside"),
    ],
)
def test_a_jump_that_leads_nowhere_is_refused_with_its_place(measures: list[str], what: str) -> None:
    whole = {letter: note(f"{letter}4", 8) for letter in "ABC"} | {letter: note(f"{letter}4", 4) for letter in "DE"}
    written = [re.sub(r"(?<![a-z<])([A-E])(?![a-z])", lambda m: whole[m[1]], measure) for measure in measures]
    err = refused(document(written))
    assert what in err.what
    assert "measure" in err.where


def test_words_that_only_look_like_a_jump_change_nothing() -> None:
    a, b = bars("A4", "B4")
    assert (
        order(
            read(document([a + printed("<words>D.C.B. cresc.</words>"), b + printed("<words>fine touch</words>")]), "x")
        )
        == "AB"
    )


def mark(words: str) -> str:
    return f"<direction><direction-type><rehearsal>{words}</rehearsal></direction-type></direction>"


def test_rehearsal_marks_are_known_by_the_bar_in_which_they_are_first_sung() -> None:
    a, b, c = bars("A4", "B4", "C5")
    score = read(document([FORWARD + mark(" A ") + a, b + BACKWARD, mark("B, 2") + c]), "x")
    assert order(score) == "ABABC"
    assert score.fact("marks") == "A 1, B2 5"
    assert Copies(score).span("b2") == (5, 5)
    assert read(document([a, b, c]), "x").fact("marks") == ""
