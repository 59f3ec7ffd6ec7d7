"""Views as golden text: what is seen, letter by letter. The texts were read and agreed with by hand, then kept."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest
from handmade_takes import faulty_take
from seen_states import READING, SINGING, SUNG, beat

from trainer.live.state import PHASES
from trainer.practice.signs import Sign
from trainer.practice.take import Performance
from trainer.reports.beat_signs import BEAT_SIGNS
from trainer.reports.look import Look
from trainer.score.naming import Names
from trainer.ui import parts
from trainer.ui.screen_keys import ALL_KEYS, KEYS
from trainer.ui.views import view, words_now


def text(state, width=80, height=24, kind="degrees", typed="", **look):
    return "\n".join(view(state, Look(width=width, **look), height, Names(kind), typed)).rstrip("\n")


def middle(state, *size, **more):
    """The view without the empty lines between what it says and its keys."""
    lines = text(state, *size, **more).split("\n")
    while "" in lines[-3:-1] and lines[-3:-1] == ["", ""]:
        lines.pop(-2)
    return "\n".join(lines)


def test_the_look_through_at_eighty_columns():
    assert (
        middle(READING)
        == """\
Ferry Bell at Low Water: tenor                                   look-through 24
60 quarters a minute  guide off  click off

Read your line; your first note is F#3, and 1 is B. The count begins by itself.

bar     1     2     3     4     5     6     7     8     9     10    11
degree  5     7     1     2     1     5     6     7     6*    5*    #3

Look out: bar 6: down a 4th; bar 8: same note as the alto; bar 9: you part from
the alto, the alto's B pulls (a minor third above); bar 10: the way back from
the alto's line, the bass's A# pulls (a major third above)

space begin   n note   o octave   g guide   m mute   b bars   ? keys   q quit"""
    )


def test_the_look_through_at_sixty_columns_in_sol_fa():
    assert (
        middle(READING, 60, 16, kind="sol-fa")
        == """\
Ferry Bell at Low Water: tenor               look-through 24
60 quarters a minute  guide off  click off

Read your line; your first note is F#3, and do is A. The
count begins by itself.

bar     1     2     3     4     5     6     7     8
sol-fa  la    do    re    mi    re    la    ti    do

bar     9     10    11
sol-fa  ti*   la*   fi

Look out: bar 6: down a 4th; bar 8: same note as the alto;
and 2 more

space begin   n note   o octave   g guide   ? keys   q quit"""
    )


def test_singing_shows_one_sign_a_beat_and_words_on_the_beat_before():
    assert (
        middle(SINGING)
        == """\
Ferry Bell at Low Water: tenor                              singing bar 6 beat 1
60 quarters a minute  guide off  click off

bar     1     2     3     4     5     6     7     8     9     10    11
degree  5     7     1     2     1     5     6     7     6     5     #3
beats   ●●●●  ●●●●  ●●●●  ●●●●  ◊

bar 5 beat 1: pulled to soprano

◊ pulled   ● held

space stop   p pause   r again   c click   g guide   m mute   q quit"""
    )


def test_singing_at_sixty_columns_without_other_letters_than_ascii():
    beats = (*SUNG, beat(17, Sign.FLAT, cents=-40, expected="B3"), beat(18, Sign.OFF, sung="C4"), beat(19, Sign.UNSURE))
    assert (
        text(replace(SINGING, beats=beats), 60, 16, letters="ascii")
        == """\
Ferry Bell at Low Water: tenor          singing bar 6 beat 1
60 quarters a minute  guide off  click off

bar     1     2     3     4     5     6     7     8
degree  5     7     1     2     1     5     6     7
beats   ====  ====  ====  ====  P-x?

bar     9     10    11
degree  6     5     #3
beats

bar 5 beat 4: unsure

? unsure   P pulled   x off   - flat   = held

space stop   p pause   r again   c click   g guide   q quit"""
    )


def test_what_counts_in_is_counted():
    for quarters, counted in ((F(-4), "1"), (F(-3), "1 2"), (F(-1, 2), "1 2 3 4")):
        shown = text(replace(SINGING, phase="count-in", quarters=quarters, beats=()))
        assert shown.split("\n")[0].endswith(f"count-in {counted}")


def test_a_screen_too_small_for_bars_says_the_phase_the_last_signs_and_words():
    assert (
        text(SINGING, 20, 5)
        == """\
singing bar 6 beat 1
●●●●●●●●●●●●●●●●◊
bar 5 beat 1: pulled

q quit"""
    )


def test_a_question_shows_what_is_typed():
    assert text(replace(READING, asked="quarters a minute: "), typed="48").split("\n")[-1] == "quarters a minute: 48_"


def test_the_numbers_behind_a_beat_take_the_place_of_the_report():
    done = replace(READING, phase="done", performance=Performance((faulty_take(),)))
    assert "Best" in text(done)
    assert "beats" in text(done)
    asked = replace(done, why=(6, F(1)))
    assert "Bar 6 beat 1: off" in text(asked)
    assert "heard:    G3" in text(asked)
    assert "note:     fis, from bar 6" in text(asked, kind="german")
    assert "Best" not in text(asked)


def test_keys_that_are_down_are_named():
    assert "keys  F#3 A3" in text(replace(SINGING, source="keyed", down=(54, 57)))


def test_words_are_left_out_where_beats_are_too_short_to_read_them():
    assert words_now(SINGING) == "bar 5 beat 1: pulled to soprano"
    assert words_now(replace(SINGING, tempo_qpm=F(101))) == ""
    assert words_now(replace(SINGING, beats=SUNG[:-1])) == ""


@pytest.mark.parametrize("phase", PHASES)
@pytest.mark.parametrize("size", [(80, 24), (60, 16), (40, 10), (39, 9), (20, 5), (1, 1), (200, 60)])
def test_no_view_is_larger_than_its_screen(phase, size):
    for state in (replace(SINGING, phase=phase), replace(SINGING, phase=phase, notice="a b " * 30, help="shown")):
        lines = view(state, Look(width=size[0]), size[1], Names())
        assert len(lines) <= size[1]
        assert all(len(line) <= size[0] for line in lines)


@pytest.mark.parametrize("phase", sorted(KEYS))
@pytest.mark.parametrize("width", [40, 60, 80])
def test_the_way_out_is_always_shown(phase, width):
    assert text(replace(SINGING, phase=phase), width, 16).endswith("q quit")


def test_no_arrow_no_dial_no_praise_and_no_percentage():

    told = " ".join([text(READING), text(SINGING), *(says for _, says in ALL_KEYS)])
    assert not set("←↑→↓▲▼%!") & set(told)
    assert not {word for word in ("great", "good", "well", "perfect", "score") if word in told.lower().split()}


def test_every_sign_drawn_is_the_reports_own():
    for sign, drawn in BEAT_SIGNS.items():
        assert f"{drawn.letter} {sign.value}" in text(replace(SINGING, beats=(beat(0, sign),)))
        assert f"{drawn.ascii} {sign.value}" in text(replace(SINGING, beats=(beat(0, sign),)), letters="ascii")


def test_colour_never_changes_the_letters():
    plain = text(SINGING)
    painted = text(SINGING, colours="full")
    import re

    assert painted != plain
    assert re.sub("\x1b\\[[0-9;]*m", "", painted) == plain


def test_a_long_report_is_read_page_by_page_and_begins_again():
    performance, pages = Performance((faulty_take(),)), []
    for page in range(8):
        shown = text(replace(SINGING, phase="done", performance=performance, page=page), 60, 16)
        assert "v more" in shown.split("\n")[-1]
        pages.append(shown.split("\n")[3:-2])
    told = [line for page in pages[:4] for line in page if line]
    assert pages.index(pages[0], 1) == 4
    for heading in ("Best", "Worst", "Next", "Held", "Measured"):
        assert any(line.startswith(heading) for line in told), told


def test_what_is_wrong_with_the_microphone_is_read_on_the_smallest_screen():
    shown = text(replace(SINGING, warning="The microphone sends perfect silence", tempo_qpm=F(240)), 20, 5).split("\n")
    assert shown[2:] == ["The microphone sends", "perfect silence", "q quit"]


def test_after_a_take_what_was_asked_for_is_said_beside_what_is_wrong_with_the_microphone():
    done = replace(SINGING, phase="done", warning="The microphone is silent.", notice="Bar 3: first as you sang it.")
    assert {done.warning, done.notice} <= set(text(done).splitlines())
    assert done.notice not in text(replace(done, phase="singing"))


@pytest.mark.parametrize("height", [10, 16, 24, 30])
def test_a_narrow_screen_breaks_no_word(height):
    known = set(text(replace(READING, help="shown"), 200, 60).split()) | set(text(READING, 200, 60).split())
    for state in (READING, replace(READING, help="shown")):
        shown = text(state, 40, height).split("\n")
        assert {word.removesuffix("...") for line in shown[:-1] for word in line.split()} - known <= {"more", "and"}


def test_what_to_look_out_for_is_told_whole_or_counted():
    assert "Look out: bar 6: down a 4th; bar 8: same note as the alto;\nand 2 more\n" in text(READING, 60, 16)


def leafed(draw):
    """The pages of help that *draw* gives for 0, 1, 2 ... without head and keys, each once, and the lines of keys under them."""
    pages, keys = [], []
    for page in range(30):
        _, *body, last = draw(page)
        if body in pages:
            return pages, keys
        pages.append(body)
        keys.append(last)
    raise AssertionError("the pages never begin again")


@pytest.mark.parametrize("size", [(40, 10), (40, 16), (50, 12)])
def test_on_a_short_screen_every_bar_can_be_read_before_it_is_sung(size):
    pages, keys = leafed(lambda page: text(replace(READING, page=page), *size).split("\n"))
    rows = [line.split() for page in pages for line in page if line[:3] in ("bar", "deg")]
    assert [word for row in rows if row[0] == "bar" for word in row[1:]] == [str(bar) for bar in range(1, 12)]
    assert [row[0] for row in rows] == ["bar", "degree"] * (len(rows) // 2)
    assert all(line[:3] != "bar" or page[k + 1][:3] == "deg" for page in pages for k, line in enumerate(page))
    assert all(last.startswith("v more") for last in keys)


@pytest.mark.parametrize("size", [(40, 10), (40, 16), (40, 24), (60, 16), (80, 24)])
def test_a_short_screen_shows_all_keys_page_by_page_and_says_how(size):
    several = replace(READING, lines=(0, 1), beats_of=((), ()))
    for state, known in ((READING, ALL_KEYS), (several, [told for told in ALL_KEYS if told[0] in parts.ALL_KEYS])):
        pages, keys = leafed(lambda page, state=state: text(replace(state, help="shown", page=page), *size).split("\n"))
        words = " ".join(" ".join(line.split()) for page in pages for line in page if line)
        assert words == " ".join(f"{key} {says}" for key, says in known)
        for last in keys:
            assert ("v more" in last) == (len(pages) > 1)
            assert last.endswith("? back   q quit")
    assert len(leafed(lambda page: text(replace(READING, help="shown", page=page), 80, 24).split("\n"))[0]) == 1
