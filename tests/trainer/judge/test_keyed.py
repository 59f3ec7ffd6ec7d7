"""Keyed lines: note and time, no cents; legato overlap forgiven."""

from __future__ import annotations

from fractions import Fraction

import pytest
from heard_frames import quartet

from audio.heard import KeyNote
from trainer.practice.settings import Settings
from trainer.practice.signs import Sign
from trainer.practice.take import Take
from trainer.takes.judging import judge

SCORE = quartet("B4 F#4 G#4 A4", "G3 C#4 E4 F#4", "F#3 A3 B3 C#4", "B2 A2 G#2 F#2", quarters=1)
MIDI = (54, 57, 59, 61)
SECOND = 24_000


def keyed(*notes: tuple[float, float, int], **settings: object) -> Take:
    keys = [KeyNote(0, round(a * SECOND), round(b * SECOND), midi) for a, b, midi in notes]
    return judge(SCORE, [2], keys, settings=Settings(**settings), sources=["keyed"]).takes[0]  # type: ignore[arg-type]


def in_time(**changes: tuple[float, float, int]) -> list[tuple[float, float, int]]:
    notes = {f"n{k}": (float(k), k + 0.95, midi) for k, midi in enumerate(MIDI)}
    return list((notes | changes).values())


def words(take: Take) -> list[str]:
    return [n.sign.value for n in take.notes]


def test_a_line_keyed_in_time_is_held_without_cents() -> None:
    take = keyed(*in_time())
    assert words(take) == ["held"] * 4
    assert {n.cents for n in take.notes} == {None}
    assert [n.sung for n in take.notes] == ["F#3", "A3", "B3", "C#4"]
    assert [b.sign.value for b in take.beats] == ["held"] * 4


def test_legato_that_overlaps_is_no_extra_note() -> None:
    take = keyed(*[(float(k), k + 1.2, midi) for k, midi in enumerate(MIDI)])
    assert words(take) == ["held"] * 4
    assert take.extra == ()


def test_a_wrong_key_is_off_and_named_and_the_rest_is_held() -> None:
    take = keyed(*in_time(n1=(1.0, 1.95, 58)))
    assert words(take) == ["held", "off", "held", "held"]
    assert take.notes[1].sung == "A#3"


@pytest.mark.parametrize(("by_s", "sign"), [(0.03, "held"), (0.06, "late"), (-0.06, "early"), (0.2, "late")])
def test_keys_are_on_time_within_forty_milliseconds(by_s: float, sign: str) -> None:
    take = keyed(*in_time(n1=(1 + by_s, 1.95, 57)))
    assert words(take) == ["held", sign, "held", "held"]
    assert take.notes[1].onset_error_ms == round(by_s * 1000)


def test_a_slip_corrected_at_once_is_the_right_note_late_and_the_slip_is_extra() -> None:
    take = keyed((0, 0.95, 54), (1, 1.15, 58), (1.18, 1.95, 57), (2, 2.95, 59), (3, 3.95, 61))
    assert words(take) == ["held", "late", "held", "held"]
    assert [e.sung for e in take.extra] == ["A#3"]


def test_a_key_left_out_is_silent_and_moves_no_other() -> None:
    take = keyed((0, 0.95, 54), (2, 2.95, 59), (3, 3.95, 61))
    assert words(take) == ["held", "silent", "held", "held"]


def test_two_keys_of_the_alto_running_are_pulled_to_it() -> None:
    take = keyed(*in_time(n1=(1.0, 1.95, 61), n2=(2.0, 2.95, 64)))
    assert words(take) == ["held", "pulled", "pulled", "held"]
    assert [n.pulled_to for n in take.notes] == [None, "alto", "alto", None]


def test_an_octave_up_throughout_is_right_and_one_key_is_a_slip() -> None:
    up = keyed(*[(float(k), k + 0.95, midi + 12) for k, midi in enumerate(MIDI)])
    assert (words(up), up.octave_shift) == (["held"] * 4, 1)
    assert words(keyed(*in_time(n2=(2.0, 2.95, 71)))) == ["held", "held", "octave", "held"]
    assert words(keyed(*in_time(n2=(2.0, 2.95, 71)), octave="free")) == ["held"] * 4
    strict = keyed(*[(float(k), k + 0.95, midi + 12) for k, midi in enumerate(MIDI)], octave="strict")
    assert words(strict) == ["octave"] * 4


def test_detached_keys_are_forgiven_and_a_key_let_go_long_before_the_end_is_not() -> None:
    detached = keyed(*[(float(k), k + 0.5, midi) for k, midi in enumerate(MIDI)], tempo_qpm=Fraction(60))
    assert words(detached)[:3] == ["held"] * 3
    slow = [(4.0 * k, 4.0 * k + 1, midi) for k, midi in enumerate(MIDI)]
    assert words(keyed(*slow, tempo_qpm=Fraction(15)))[0] == Sign.LEFT_EARLY.value


def test_nothing_keyed_is_nothing_heard() -> None:
    take = keyed()
    assert (take.status, take.source, words(take)) == ("nothing heard", "keyed", ["silent"] * 4)


def test_a_key_in_a_rest_is_off_with_nothing_expected() -> None:
    score = quartet("C5 - B4 C5", "C3 C3 G2 C3", quarters=1)
    keys = [KeyNote(0, k * SECOND, k * SECOND + 20_000, midi) for k, midi in enumerate((72, 74, 71, 72))]
    take = judge(score, [0], keys, settings=Settings(), sources=["keyed"]).takes[0]
    assert [(n.expected, n.sign.value, n.sung) for n in take.notes][1] == (None, "off", "D5")
    assert [b.sign.value for b in take.beats] == ["held", "off", "held", "held"]
    assert take.extra == ()
    kept = judge(score, [0], [keys[0], *keys[2:]], settings=Settings(), sources=["keyed"]).takes[0]
    assert [b.sign.value for b in kept.beats] == ["held", "rest", "held", "held"]
