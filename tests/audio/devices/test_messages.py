"""Bytes of MIDI to keys, case by case from the MIDI 1.0 specification (MMA 1996), and beside mido's own parser."""

from __future__ import annotations

import mido
import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from audio.devices.messages import SENSING_SECONDS, Parser


def told(*messages: bytes) -> list[tuple[int, int, bool]]:
    """(key, velocity, forced) of everything that moved."""
    parser = Parser()
    return [(one.midi, one.velocity, one.forced) for message in messages for one in parser.feed(1.0, message)]


def test_a_key_goes_down_and_up() -> None:
    assert told(b"\x90\x3c\x40", b"\x80\x3c\x00") == [(60, 64, False), (60, 0, False)]


def test_a_note_on_without_velocity_is_a_note_off() -> None:
    assert told(b"\x90\x3c\x40", b"\x90\x3c\x00") == [(60, 64, False), (60, 0, False)]


def test_running_status_goes_on_over_messages() -> None:
    assert told(b"\x90\x3c\x40", b"\x3e\x41", b"\x3c\x00\x3e\x00") == [
        (60, 64, False),
        (62, 65, False),
        (60, 0, False),
        (62, 0, False),
    ]


def test_real_time_bytes_may_stand_inside_a_message() -> None:
    assert told(b"\x90\xfe\x3c\xf8\x40", b"\xfe", b"\x3e\xfe\x41") == [(60, 64, False), (62, 65, False)]


def test_exclusive_messages_are_passed_over_and_end_running_status() -> None:
    assert told(b"\x90\x3c\x40", b"\xf0\x7e\x3c\x40\x3c\xf7", b"\x3e\x41", b"\x90\x40\x40") == [
        (60, 64, False),
        (64, 64, False),
    ]


def test_other_messages_move_no_key() -> None:
    assert told(b"\xb0\x40\x7f", b"\xe0\x00\x40", b"\xc0\x05", b"\xd0\x33", b"\xa0\x3c\x40", b"\xf2\x00\x00") == []


def test_all_notes_off_lets_go_of_its_channel_only() -> None:
    moved = told(b"\x90\x3c\x40", b"\x91\x3e\x40", b"\xb0\x7b\x00", b"\x81\x3e\x00")
    assert moved == [(60, 64, False), (62, 64, False), (60, 0, True), (62, 0, False)]


def test_a_reset_lets_go_of_everything() -> None:
    assert told(b"\x90\x3c\x40", b"\x91\x3e\x40", b"\xff")[2:] == [(60, 0, True), (62, 0, True)]


def test_a_key_that_goes_down_twice_has_come_up_between() -> None:
    assert told(b"\x90\x3c\x40", b"\x90\x3c\x50") == [(60, 64, False), (60, 0, True), (60, 80, False)]


def test_a_key_that_comes_up_without_having_been_down_is_nothing() -> None:
    assert told(b"\x80\x3c\x40") == []


def test_bytes_before_any_status_are_nothing() -> None:
    assert told(b"\x3c\x40\x3e") == []


def test_a_keyboard_that_promised_to_keep_in_touch_and_falls_silent_lets_go() -> None:
    parser = Parser()
    parser.feed(1.0, b"\xfe")
    parser.feed(1.1, b"\x90\x3c\x40")
    assert parser.tick(1.1 + SENSING_SECONDS * 0.9) == []
    (moved,) = parser.tick(1.2 + SENSING_SECONDS)
    assert (moved.midi, moved.velocity, moved.forced) == (60, 0, True)
    assert parser.tick(99.0) == []


def test_a_keyboard_that_promised_nothing_may_hold_a_key_for_ever() -> None:
    parser = Parser()
    parser.feed(1.0, b"\x90\x3c\x40")
    assert parser.tick(3_600.0) == []
    assert parser.down == [(0, 60)]


@given(st.lists(st.integers(0, 255), max_size=300), st.integers(0, 2**31))
def test_any_bytes_cut_anywhere_say_the_same(row: list[int], seed: int) -> None:
    whole = Parser()
    expected = whole.feed(1.0, bytes(row))
    cuts = sorted(np.random.default_rng(seed).integers(0, len(row) + 1, 5))
    parser, moved, before = Parser(), [], 0
    for cut in [*cuts, len(row)]:
        moved += parser.feed(1.0, bytes(row[before:cut]))
        before = cut
    assert moved == expected
    assert parser.down == whole.down


@given(
    st.lists(st.tuples(st.sampled_from(["note_on", "note_off"]), st.integers(0, 127), st.integers(0, 127)), max_size=60)
)
def test_whole_messages_mean_what_mido_says(row: list[tuple[str, int, int]]) -> None:
    """mido 1.3 (MIT) as a second reader; which keys are down is counted by hand from its messages."""
    messages = [mido.Message(kind, note=note, velocity=velocity) for kind, note, velocity in row]
    down: list[int] = []
    for message in mido.parse_all([byte for one in messages for byte in one.bytes()]):
        if message.note in down:
            down.remove(message.note)
        if message.type == "note_on" and message.velocity > 0:
            down.append(message.note)
    parser = Parser()
    for message in messages:
        parser.feed(0.0, bytes(message.bytes()))
    assert [midi for _, midi in parser.down] == down
