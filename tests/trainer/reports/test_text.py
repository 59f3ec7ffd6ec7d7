"""Screens of takes written by hand. The golden files are regression: made by this code, read by a person, then kept."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from handmade_takes import clean_take, faulty_take, note, nothing_heard, take_of

from trainer.practice.settings import Settings
from trainer.practice.signs import Sign
from trainer.practice.take import ExtraNote, Performance, Take
from trainer.reports.beat_signs import BEAT_SIGNS
from trainer.reports.look import Look
from trainer.reports.text import performance_text, take_text
from trainer.reports.wording import ms_words

GOLDEN = Path(__file__).parents[2] / "golden" / "ours" / "reports"
SCREENS = {
    "clean-80": (clean_take, Look(80)),
    "faulty-80": (faulty_take, Look(80)),
    "faulty-60-ascii": (faulty_take, Look(60, letters="ascii")),
    "faulty-plain": (faulty_take, Look(80, form="plain")),
    "faulty-full-colour": (faulty_take, Look(80, colours="full")),
    "faulty-sixteen-colours": (faulty_take, Look(80, colours="sixteen")),
    "nothing-heard-80": (nothing_heard, Look(80)),
}


@pytest.mark.parametrize("name", SCREENS)
def test_a_screen_is_what_it_was(name: str) -> None:
    make, look = SCREENS[name]
    assert take_text(make(), look) + "\n" == (GOLDEN / f"{name}.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("width", [40, 60, 72, 80, 120])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    for make in (clean_take, faulty_take, nothing_heard):
        assert max(len(line) for line in take_text(make(), Look(width)).splitlines()) <= width


def test_a_take_with_a_few_faults_fits_eighty_by_twenty_four() -> None:
    notes = [note(bar) for bar in range(1, 12)]
    notes[1] = note(2, Sign.SHARP, cents=31)
    notes[4] = note(5, Sign.PULLED, sung="G#4", cents=900, pulled_to="soprano")
    notes[5] = note(6, Sign.PULLED, sung="F#4", cents=1200, pulled_to="soprano")
    notes[8] = note(9, Sign.LATE, onset_error_ms=120)
    lines = take_text(take_of(notes), Look(80)).splitlines()
    assert len(lines) <= 24 - 1  # the prompt comes back on the last line
    assert max(map(len, lines)) <= 80


def test_three_lines_come_first_and_the_next_one_begins_a_bar_before_the_fault() -> None:
    lines = take_text(faulty_take(), Look(80)).splitlines()
    assert [line.split()[0] for line in lines[1:4]] == ["Best", "Worst", "Next"]
    assert "bar 5 beat 1: pulled to soprano" in lines[2]
    assert "start at bar 4" in lines[3]


def test_every_word_has_its_own_sign_in_both_alphabets_and_none_is_an_arrow() -> None:
    assert set(BEAT_SIGNS) == set(Sign)
    for letters in ([one.letter for one in BEAT_SIGNS.values()], [one.ascii for one in BEAT_SIGNS.values()]):
        assert len(set(letters)) == 13
        assert not set("".join(letters)) & set("^v<>\u2190\u2191\u2192\u2193\u25b2\u25bc")
    assert all(one.ascii.isascii() and len(one.ascii) == len(one.letter) == 1 for one in BEAT_SIGNS.values())


def test_the_legend_names_every_sign_that_stands_in_the_table() -> None:
    text = take_text(faulty_take(), Look(80, letters="ascii"))
    for sign in {beat.sign for beat in faulty_take().beats}:
        assert f"{BEAT_SIGNS[sign].ascii} {sign.value}" in text


def test_colour_never_says_anything_alone() -> None:
    for make in (clean_take, faulty_take, nothing_heard):
        for colours in ("sixteen", "full"):
            painted = take_text(make(), Look(80, colours=colours))
            assert re.sub(r"\x1b\[[0-9;]*m", "", painted) == take_text(make(), Look(80))


def test_the_colours_are_those_of_the_kinds_of_remark() -> None:
    painted = take_text(faulty_take(), Look(80, colours="full"))
    assert "\x1b[38;2;0;114;178m+" in painted  # tuning 0072B2
    assert "\x1b[38;2;213;94;0m×" in painted  # note D55E00
    assert "\x1b[38;2;204;121;167mL" in painted  # time CC79A7
    assert "\x1b[2m?" in painted


@pytest.mark.parametrize("look", [Look(80), Look(60, letters="ascii"), Look(80, form="plain")])
def test_there_is_no_percentage_no_praise_and_no_arrow(look: Look) -> None:
    for make in (clean_take, faulty_take, nothing_heard):
        text = take_text(make(), look).lower()
        assert "%" not in text
        assert not re.search(
            r"\b(great|good|excellent|well done|perfect|best take|your score|points|rank|fail)\b", text
        )
        assert not set(text) & set("\u2190\u2191\u2192\u2193\u25b2\u25bc")


def test_flat_and_sharp_as_tuning_always_stand_with_cents() -> None:
    text = " ".join(take_text(faulty_take(), Look(80, form="plain")).split())
    found = list(re.finditer(r"([^\s(]+ [^\s(]+) (flat|sharp)\b", text))
    assert len(found) >= 4
    for match in found:
        assert re.fullmatch(r"\d+ cents?", match[1]), match[0]


def test_the_reference_and_every_tolerance_are_printed() -> None:
    settings = Settings(a4_hz=442.5, against="pure", tolerance_cents=15, octave="free", starts_at_s=Fraction(5, 2))
    text = " ".join(take_text(replace(clean_take(), settings=settings), Look(80)).split())
    for told in ("pure tuning", "A4 = 442.5 Hz", "within 15 cents", "beyond 70", "within 80 ms", "any octave", "2.5 s"):
        assert told in text


def test_an_unknown_delay_is_said_in_the_contracts_words() -> None:
    text = take_text(replace(clean_take(), settings=Settings(delay_known=False)), Look(80, form="plain"))
    assert "timing not judged: delay unknown" in text


def test_a_keyed_take_speaks_of_no_cents() -> None:
    notes = [replace(note(bar), cents=None, uncertainty_cents=None) for bar in range(1, 12)]
    notes[3] = replace(note(4, Sign.OFF, sung="D4"), cents=None)
    text = take_text(take_of(notes, source="keyed", on_time_ms=40), Look(120))
    assert "keys cannot be out of tune" in text
    assert "within 40 ms" in text
    assert "cents " not in text.replace("no cents", "")


def test_a_silent_take_gets_no_table_and_is_told_what_to_try() -> None:
    text = take_text(nothing_heard(), Look(80))
    assert "beats" not in text
    assert "no voice was heard" in text
    assert "heldline trace" in text
    assert "--starts-at" in text


def test_what_could_not_be_told_is_left_out_of_the_count_and_said() -> None:
    assert "2 of 10 notes judged; 1 could not be told and is left out" in take_text(faulty_take(), Look(80))


def test_a_beat_that_differs_from_its_held_note_is_told_in_the_plain_form() -> None:
    assert "Bar 1 beat 4: 30 cents flat" in take_text(faulty_take(), Look(80, form="plain")).splitlines()


def test_the_plain_form_gives_one_line_a_bar_with_its_label_first() -> None:
    lines = [line for line in take_text(faulty_take(), Look(80, form="plain")).splitlines() if line.startswith("Bar ")]
    assert [int(re.match(r"Bar (\d+)", line)[1]) for line in lines] == list(range(1, 12))  # type: ignore[index]
    assert "Bar 5 beat 1: pulled to soprano, G#4 heard for B3" in lines
    assert not set("".join(lines)) & set("│─┃━┌└|")


def test_a_printed_number_stands_beside_the_bar_where_they_differ() -> None:
    take = clean_take()
    notes = tuple(replace(one, printed_bar=str(one.bar + 20)) for one in take.notes)
    beats = tuple(replace(one, printed_bar=str(one.bar + 20)) for one in take.beats)
    text = take_text(replace(take, notes=notes, beats=beats), Look(80))
    assert re.search(r"^printed +21 ", text, re.MULTILINE)


def test_many_notes_in_a_bar_are_told_by_their_beats_alone() -> None:
    quarters = [replace(note(1), beat=Fraction(beat), length_beats=Fraction(1)) for beat in range(1, 5)]
    text = take_text(replace(clean_take(), notes=tuple(quarters)), Look(80))
    assert "written" not in text
    assert re.search(r"^beats +●●●●", text, re.MULTILINE)


def test_getting_back_is_told_when_two_notes_running_were_lost() -> None:
    notes = [note(bar) for bar in range(1, 12)]
    notes[4] = note(5, Sign.OFF, sung="G3")
    assert "Back" not in take_text(take_of(notes), Look(80))
    notes[5] = note(6, Sign.SILENT, sung=None, cents=None)
    assert "lost at bar 5 beat 1, back at bar 7 beat 1" in take_text(take_of(notes), Look(80))
    notes[6:] = [note(bar, Sign.OFF, sung="C4") for bar in range(7, 12)]
    assert "not back by the end" in take_text(take_of(notes), Look(80))


def test_the_first_bar_has_no_bar_before_it_to_start_at() -> None:
    notes: list = [note(bar) for bar in range(1, 12)]
    notes[0] = note(1, Sign.OFF, sung="G3")
    assert "start at bar 1;" in take_text(take_of(notes), Look(80))


@pytest.mark.parametrize(
    "sign", [sign for sign in Sign if sign not in (Sign.REST, Sign.HELD, Sign.BREATH, Sign.UNSURE)]
)
def test_whatever_is_wrong_the_next_line_is_an_action(sign: Sign) -> None:
    for source in ("sung", "keyed"):
        notes = [note(bar) for bar in range(1, 12)]
        notes[6] = note(7, sign, pulled_to="alto" if sign is Sign.PULLED else None)
        text = take_text(take_of(notes, source=source), Look(80, form="plain"))
        assert re.search(r"^Next: start at bar 6; (hear|hold|sing|count|read)\b", text, re.MULTILINE), text


def test_takes_of_one_performance_follow_each_other() -> None:
    other: Take = replace(clean_take(), voice="bass")
    text = performance_text(Performance((clean_take(), other)), Look(80))
    assert text.index(": tenor, sung") < text.index(": bass, sung")


def test_a_take_that_was_cut_short_says_so_beside_its_title() -> None:
    first = take_text(replace(clean_take(), status="incomplete"), Look(80)).splitlines()[0]
    assert first == "Ferry Bell at Low Water: tenor, sung, incomplete"


def test_a_note_back_in_the_written_octave_is_not_said_to_be_heard_for_itself() -> None:
    notes = [note(bar) for bar in range(1, 12)]
    notes[3] = note(4, Sign.OCTAVE, sung="C#4", cents=1)
    told = " ".join(take_text(take_of(notes, octave_shift=1), Look(80)).split())
    assert "C#4 heard for C#4" not in told
    assert "C#4 for C#4" not in told
    assert "bar 4 beat 1: octave, as written, the rest in another" in told
    assert "in another octave: bar 4 (C#4 as written, the rest in another)" in told


def test_sounds_beside_the_line_are_told_in_one_sentence_the_first_few_by_themselves() -> None:
    extra = [ExtraNote(float(at), at + 0.5, "G4") for at in range(5)]
    for count, told in (
        (1, "No note asked for G4 from 0.0 to 0.5 s"),
        (2, "No note asked for G4 from 0.0 to 0.5 s, G4 from 1.0 to 1.5 s"),
        (5, "G4 from 2.0 to 2.5 s and 2 more"),
    ):
        take = replace(clean_take(), extra=tuple(extra[:count]))
        assert told in " ".join(take_text(take, Look(80)).split())


@pytest.mark.parametrize(
    ("ms", "words"), [(120, "120 ms late"), (-999, "999 ms early"), (1263, "1.3 s late"), (0, "on the beat")]
)
def test_from_a_second_on_time_is_told_in_seconds(ms: int, words: str) -> None:
    assert ms_words(ms) == words


def test_a_sound_that_began_a_moment_before_the_take_has_no_minus_nought() -> None:
    extra = (ExtraNote(-0.02, 3.9, "F#3"),)
    assert "F#3 from 0.0 to 3.9 s" in " ".join(take_text(replace(clean_take(), extra=extra), Look(80)).split())
