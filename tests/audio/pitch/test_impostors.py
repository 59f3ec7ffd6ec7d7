"""What has a pitch and is not sung."""

from __future__ import annotations

import pytest

from audio.pitch._impostors import Dying, Hum
from audio.units import hz_to_c100

A3 = hz_to_c100(220)


def taken(impostor, levels, pitches):
    return impostor.hops(levels, pitches, [True] * len(levels)).tolist()


@pytest.mark.parametrize("rt60_s", [0.4, 0.8, 1.2])
def test_a_room_is_known_within_130_ms_of_the_note(rt60_s):
    step_db10 = 600 / rt60_s * 0.005
    levels = [-200] * 60 + [round(-200 - step_db10 * n) for n in range(1, 60)]
    out = taken(Dying(), levels, [A3] * len(levels))
    assert not any(out[:60])
    assert all(out[60 + 26 :])


@pytest.mark.parametrize(
    "fall",
    [
        [round(-200 - n * 0.5) for n in range(400)],  # a diminuendo of 10 dB a second
        [-200] * 40 + [-400] * 200,  # a step down to a quiet note
        [
            -200 - round(1.5 * n) - (200 if n > 12 else 0) for n in range(40)
        ],  # the same in a diminuendo of 30 dB a second
        [-200] * 40 + [-200 - 35 * n for n in range(12)],  # the note's own end, within 60 ms
    ],
)
def test_a_singers_own_quietening_is_not_a_room(fall):
    assert not any(taken(Dying(), [-200] * 60 + fall, [A3] * (60 + len(fall))))


def test_a_new_note_within_the_room_is_heard_at_once():
    tail = [round(-200 - 3.75 * n) for n in range(60)]
    levels = [-200] * 60 + tail + [-380] * 60
    pitches = [A3] * 120 + [A3 + 20_000] * 60
    out = taken(Dying(), levels, pitches)
    assert out[119]
    assert not any(out[120:])


def test_a_quiet_singer_who_holds_on_is_heard_again():
    levels = [-200] * 60 + [round(-200 - 2.5 * n) for n in range(50)] + [-325] * 60
    out = taken(Dying(), levels, [A3] * len(levels))
    assert out[100]
    assert not any(out[150:])


@pytest.mark.parametrize("hum_hz", [50, 60, 100, 120, 150, 180, 350])
def test_hum_before_the_first_note_is_never_voice(hum_hz):
    assert all(taken(Hum(), [-550, -549] * 200, [hz_to_c100(hum_hz) + 40] * 400))


def test_a_soft_and_steady_singer_on_the_mains_is_no_hum_after_the_first_note():
    hum = Hum()
    taken(hum, [-200] * 20, [A3] * 20)
    assert not any(taken(hum, [-550] * 300, [hz_to_c100(150)] * 300))


@pytest.mark.parametrize(
    ("level", "pitch"),
    [(-300, hz_to_c100(150)), (-550, hz_to_c100(150) + 1200), (-550, A3)],
    ids=["loud", "beside", "elsewhere"],
)
def test_what_is_loud_or_off_the_mains_is_no_hum(level, pitch):
    assert not any(taken(Hum(), [level] * 300, [pitch] * 300))


def test_a_singer_near_the_mains_is_no_hum_once_she_has_sung_since_she_is_not_that_steady():
    hum = Hum()
    taken(hum, [-300] * 20, [A3] * 20)
    pitches = [hz_to_c100(150) + (500 if n % 24 < 12 else -500) for n in range(300)]
    assert not any(taken(hum, [-450] * 300, pitches))
