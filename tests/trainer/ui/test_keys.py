"""Typed bytes become commands, however they are cut."""

from __future__ import annotations

import pytest

from trainer.live.state import COMMANDS
from trainer.ui.keys import BY_KEY, Typed


def typed(*parts, asking=False):
    waiting = list(parts)
    keys = Typed(lambda: waiting.pop(0) if waiting else b"")
    keys.asking = asking
    found = []
    for _ in parts:
        found += keys.commands()
    return found


def test_each_command_has_a_key_of_one_letter():
    assert set(COMMANDS) <= set(BY_KEY.values())
    assert all(len(key) == 1 for key in BY_KEY)


def test_letters_are_taken_in_either_case():
    assert typed(b"rR nq") == ["again", "again", "go", "note", "quit"]


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
