"""The view from across the room: what is large, how large, how few words, and what of it stays on a small screen."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F

import pytest
from seen_states import SCORE, SINGING, TENOR

from trainer.live.desk import Desk
from trainer.live.standing import Standing
from trainer.reports.look import Look
from trainer.ui import section_keys, views
from trainer.ui.block_letters import ROWS, dots, drawable, set_large
from trainer.ui.far import far_view, large_words, way_words

CALLED = tuple(str(bar) for bar in range(1, 12))
STANDING = Standing("tenors", "5-6", ("bar 5-6", "press", "space"), ("Bar 6: down a 4th.",), CALLED)
STATE = replace(SINGING, standing=STANDING)
DONE = replace(STATE, phase="done", quarters=None)
LOOK = Look()


def seen(lines, *words):
    """Whether the block letters of each of *words* stand among the lines, five rows each, dots of two columns."""
    for word in words:
        rows = ["".join(("██" if one == "#" else "  ") for one in row).strip() for row in dots(word)]
        tops = [k for k in range(len(lines) - ROWS + 1) if [line.strip() for line in lines[k : k + ROWS]] == rows]
        if len(tops) != 1:
            return False
    return True


def test_bar_beat_and_who_are_large_on_80_by_24_while_somebody_sings() -> None:
    lines = far_view(STATE, LOOK, 24)
    assert len(lines) == 24
    assert max(map(len, lines)) <= 80
    assert seen(lines, "bar 6", "beat 1", "tenors")
    assert lines[-1].startswith("? keys   q quit")


@pytest.mark.parametrize("phase", ["ready", "tuning note", "count-in", "singing", "pause", "done"])
def test_no_more_than_six_words_are_large_and_the_next_action_is_one_of_them(phase: str) -> None:
    state = replace(STATE, phase=phase, quarters=F(-2) if phase == "count-in" else F(3))
    words = " ".join(large_words(state, STANDING)).split()
    assert 1 <= len(words) <= 6
    assert seen(far_view(state, LOOK, 24), *large_words(state, STANDING))
    if phase in ("ready", "pause", "done"):
        assert words[-1] == "space"


def test_the_copies_numbers_are_shown() -> None:
    called = tuple(str(bar) for bar in range(101, 112))
    state = replace(STATE, standing=replace(STANDING, called=called))
    assert large_words(state, state.standing)[0] == "bar 106"


def test_of_two_bars_of_one_number_the_letters_say_which() -> None:
    called = (*CALLED[:5], "6 (2nd)", *CALLED[6:])
    state = replace(STATE, standing=replace(STANDING, called=called))
    assert sum(len(words.split()) for words in large_words(state, state.standing)) <= 6
    shown = "\n".join(far_view(state, LOOK, 24))
    for row in dots("bar 6 (2nd)"):
        assert row.replace("#", "█").replace(".", " ").strip() in shown
    assert seen(far_view(state, replace(LOOK, width=110), 24), "bar 6 (2nd)")


def test_small_words_say_why_and_never_push_the_large_ones_away() -> None:
    told = replace(DONE, notice="A long sentence of a notice that takes more than a line of its own. " * 6)
    lines = far_view(told, LOOK, 24)
    assert seen(lines, "bar 5-6".replace("bar 5-6", "press"), "space")
    assert "Bar 6: down a 4th." in "\n".join(far_view(DONE, LOOK, 24))


@pytest.mark.parametrize("size", [(80, 24), (60, 16), (40, 10), (20, 5), (132, 50), (200, 60)])
def test_any_size_is_filled_and_never_exceeded(size: tuple[int, int]) -> None:
    columns, rows = size
    for state in (STATE, DONE, replace(DONE, help="shown"), replace(DONE, asked="which bars? ")):
        lines = far_view(state, replace(LOOK, width=columns), rows)
        assert len(lines) == rows
        assert max(map(len, lines)) <= columns


def test_letters_grow_with_the_screen() -> None:
    assert len(set_large(("bar 6", "beat 2"), 160, 50)) >= 4 * ROWS
    assert len(set_large(("bar 6",), 80, 5)) == ROWS


def test_every_letter_and_figure_is_drawn_and_no_two_alike() -> None:
    drawn = {char: dots(char) for char in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-+()"}
    assert len(set(drawn.values())) == len(drawn)
    assert all(len(rows) == ROWS and len({len(row) for row in rows}) == 1 for rows in drawn.values())
    assert drawable("Bläßhuhn") == "BLASSHUHN"


def test_ascii_terminals_get_ascii() -> None:
    assert all(line.isascii() for line in far_view(STATE, replace(LOOK, letters="ascii"), 24))


@pytest.mark.parametrize(
    ("desk", "words"),
    [
        (Desk(TENOR).with_own_alone(4), "only the tenor"),
        (Desk(TENOR).with_all_others(), "without the tenor"),
        (Desk(TENOR).with_everybody(), "everybody"),
        (Desk(TENOR).with_next_neighbour(4).with_next_drone(), "without the tenor, soprano louder, drone"),
        (Desk(TENOR, muted=frozenset({0, 3})), "only the alto"),
    ],
)
def test_what_sounds_is_said_in_a_few_words(desk: Desk, words: str) -> None:
    assert way_words(replace(STATE, desk=desk)) == words


def test_all_keys_fit_on_one_screen() -> None:
    lines = far_view(replace(DONE, help="shown"), LOOK, 24)
    assert any("leave; what was sung is kept" in line for line in lines)
    assert SCORE.title in lines[0]


def test_a_short_screen_shows_all_keys_page_by_page() -> None:
    shown = [far_view(replace(DONE, help="shown", page=page), Look(40), 16) for page in range(3)]
    assert all(lines[-1] == "v more   ? back" for lines in shown)
    told = " ".join(" ".join(line.split()) for lines in shown for line in lines[2:-1])
    assert all(f"{' '.join(key.split())} {says}" in told for key, says in section_keys.ALL_KEYS)


def test_no_key_is_told_by_half_at_sixty_columns() -> None:
    for keys in (views.ALL_KEYS, section_keys.ALL_KEYS):
        assert max(len(f"{key:<8}{says}") for key, says in keys) <= 60
    every = "   ".join(section_keys.KEYS.values()).split("   ")
    for state in (DONE, STATE):
        for width in (40, 60, 70):
            assert set(far_view(state, Look(width), 20)[-1].split("   ")) <= set(every)
