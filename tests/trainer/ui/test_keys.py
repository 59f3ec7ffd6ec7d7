"""Typed bytes become commands, however they are cut."""

from __future__ import annotations

import pytest

from trainer.live.state import COMMANDS
from trainer.ui.keys import BY_KEY, Typed
from trainer.ui.section_keys import ALL_KEYS, SECTION_KEYS
from trainer.ui.typed_lines import TypedLines


def typed(*parts, asking=False):
    waiting = list(parts)
    keys = Typed(lambda: waiting.pop(0) if waiting else b"")
    keys.asking = asking
    found = []
    for _ in parts:
        found += keys.commands()
    return found


def test_each_command_has_a_key_of_one_letter():
    assert set(COMMANDS) <= set(BY_KEY.values()) | set(SECTION_KEYS.values())
    assert all(len(key) == 1 for key in (*BY_KEY, *SECTION_KEYS))


def test_letters_are_taken_in_either_case():
    assert typed(b"rR nq") == ["again", "again", "go", "note", "quit"]


def test_while_keys_are_shown_v_is_their_next_page_whatever_else_it_means():
    keys = Typed(lambda: b"vV", SECTION_KEYS)
    assert keys.commands() == ["manner", "manner"]
    keys.leafing = True
    assert keys.commands() == ["more", "more"]


def test_arrows_and_function_keys_are_nothing():
    assert typed(b"\x1b[A\x1b[1;5C\x1bOP\x1b[15~r") == ["again"]


def test_escape_alone_leaves():
    assert typed(b"\x1b") == ["quit"]


def test_letters_of_other_alphabets_and_broken_bytes_are_nothing():
    assert typed("ñ♯й".encode(), b"\xff\xfe", b"\xc3", b"\xa9r") == ["again"]


def test_an_answer_is_whole_at_enter_and_can_be_mended():
    assert typed(b"9-", b"11", b"\x7f0\r", asking=True) == ["=9-10"]


def test_an_answer_is_left_with_escape():
    assert typed(b"48\x1b", asking=True) == ["=\x1b"]


def test_an_answer_has_an_end():
    (answer,) = typed(b"x" * 500 + b"\r", asking=True)
    assert len(answer) == 41


@pytest.mark.parametrize("digit", "1234567")
def test_digits_are_degrees(digit):
    assert typed(digit.encode()) == [digit]


def test_eight_nine_and_nought_are_no_degrees():
    assert typed(b"890") == []


def test_every_key_of_a_rehearsal_stands_in_its_list():
    told = " ".join(keys for keys, _ in ALL_KEYS)
    hidden = {"\r", "\n", "\x1b", "\x04", "h", "?", "=", ",", ".", " ", *"123456789"}
    assert {key for key in SECTION_KEYS if key not in hidden} <= set(told)


def lines(*parts, asking=False):
    waiting = list(parts)
    keys = TypedLines(lambda: waiting.pop(0) if waiting else None, SECTION_KEYS)
    keys.asking = asking
    return [keys.commands() for _ in range(len(parts) + 1)]


def test_without_a_screen_a_key_and_enter_is_a_command_and_enter_alone_begins():
    assert lines(b"t\n\n", b"") == [["turns"], ["go"], ["quit"]]
    assert lines(b"k", b"\n") == [[], ["result"], ["quit"]]


def test_a_typed_line_answers_a_question_whole():
    assert lines(b"wren,heron\n", asking=True)[0] == ["=wren,heron"]
