"""The words of a check: every outcome says what it is and what to do."""

from __future__ import annotations

from dataclasses import replace

import pytest

from audio.devices.check import Checked, Hummed
from audio.devices.room_hum import RoomHum
from audio.devices.roundtrip import RoundTrip
from trainer.reports.soundcheck import delay_line, room_says, to_json, words

QUIET = Checked(
    only_zeros=False,
    call_rate_hz=None,
    room_dbfs=-60.0,
    round_trip=RoundTrip(80.0, 0.0, None, "reported"),
    moving="",
    hummed=None,
    near_the_room=False,
    lost_frames=0,
    xruns=0,
)
A3 = Hummed(570_000, True, -25.0, 0.8)
LEAKS = RoundTrip(16.0, 0.2, -18.0, "measured", 6)


@pytest.mark.parametrize(
    ("found", "heard", "says", "do"),
    [
        (replace(QUIET, only_zeros=True), ("only zeros",), "perfect silence", "allow the microphone"),
        (
            replace(QUIET, call_rate_hz=8_000),
            ("call quality", "nothing"),
            "telephone quality (8 kHz)",
            "own microphone",
        ),
        (replace(QUIET, round_trip=LEAKS), ("own voices",), "18 dB softer than I play them", "Use headphones"),
        (
            replace(QUIET, moving="the delay of this sound does not hold still: it moved by 9 ms"),
            ("own voices",),
            "does not hold still",
            "wired headphones",
        ),
        (QUIET, ("nothing",), "nothing but the room", "not muted"),
        (replace(QUIET, hummed=A3), ("you",), "I hear you: A3, steady.", ""),
        (replace(QUIET, hummed=replace(A3, steady=False)), ("you",), "A3, not steady yet", ""),
        (
            replace(QUIET, hummed=replace(A3, level_dbfs=-52.0), near_the_room=True),
            ("you", "near the room"),
            "8 dB above it",
            "nearer to the microphone",
        ),
        (replace(QUIET, round_trip=LEAKS, hummed=A3), ("own voices", "you"), "I hear you: A3", "Use headphones"),
    ],
)
def test_every_outcome_has_its_sentence_and_its_next_step(
    found: Checked, heard: tuple[str, ...], says: str, do: str
) -> None:
    said = words(found, sounds=True, pitch="A3")
    assert said.heard == heard
    assert says in said.says
    assert do in said.do
    assert bool(said.do) == bool(do)


def test_no_output_is_said() -> None:
    assert "no sound output" in words(replace(QUIET, hummed=A3), sounds=False, pitch="A3").says


def test_the_delay_is_never_told_without_its_source() -> None:
    assert delay_line(replace(QUIET, round_trip=LEAKS)) == "round trip: 16.0 ms, measured, spread 0.2 ms"
    assert "measured on 2026-03-01" in delay_line(replace(QUIET, round_trip=LEAKS), "2026-03-01")
    assert "as the driver reports it; late and early are not judged" in delay_line(QUIET)
    assert "assumed" in delay_line(replace(QUIET, round_trip=RoundTrip(100.0, 0.0, None, "assumed")))


def test_the_json_has_the_keys_that_programs_read() -> None:
    found = replace(QUIET, round_trip=LEAKS, hummed=A3)
    said = words(found, sounds=True, pitch="A3")
    table = to_json(found, said, names=("USB Microphone", ""), more={"note": "A3"})
    assert table["schema"] == "heldline.soundcheck/1"
    assert (table["input"], table["output"]) == ("USB Microphone", None)
    assert (table["round_trip_ms"], table["spread_ms"], table["bleed_db"]) == (16.0, 0.2, -18.0)
    assert table["source"] == "measured"
    assert said.says in table["says"]
    assert table["note"] == "A3"
    assert to_json(QUIET, said, names=("", ""), more={})["bleed_db"] is None


def test_a_bleed_of_nothing_is_as_loud_and_not_minus_zero() -> None:
    found = replace(QUIET, round_trip=replace(LEAKS, bleed_db=-0.01))
    said = words(found, sounds=True)
    assert "as loud as I play them" in said.says
    assert str(to_json(found, said, names=("", ""), more={})["bleed_db"]) == "0.0"


def in_the_room(
    voice_dbfs: float | None = -30.0, *, room_dbfs: float = -60.0, bleed_db: float | None = -10.0, hum=None
):
    hummed = None if voice_dbfs is None else Hummed(570_000, True, voice_dbfs, 1.0)
    trip = RoundTrip(20.0, 0.1, bleed_db, "measured")
    return replace(QUIET, room_dbfs=room_dbfs, hummed=hummed, round_trip=trip, hum=hum)


def test_a_chapels_refrigerator_is_named_by_its_note() -> None:
    told, _ = room_says(in_the_room(hum=RoomHum(100.0, -55.0, 30.0)), singers=7, hum_note="G2")
    assert told[0].startswith("The room hums at 100 Hz, near G2: a refrigerator, a lamp or a fan.")
    assert room_says(in_the_room(), singers=7)[0][0] == "Nothing hums in this room."


@pytest.mark.parametrize(
    ("singers", "voice_dbfs", "enough", "words"),
    [
        # -21.5 - 10 = -31.5 dBFS of ours, against one at -30, two at -27, seven at -21.5, 6 dB under each
        (1, -30.0, True, "Loud enough for one."),
        (2, -30.0, True, "Loud enough for two."),
        (7, -30.0, False, "Too soft for seven, by about 4 dB"),
        (7, -40.0, True, "Loud enough for seven."),
        (15, -30.0, False, "Too soft for 15, by about 8 dB"),
    ],
)
def test_loud_enough_depends_on_how_many_sing_and_how_loud(
    singers: int, voice_dbfs: float, enough: bool, words: str
) -> None:
    told, found = room_says(in_the_room(voice_dbfs), singers=singers)
    assert found is enough
    assert told[-1].startswith(words)


def test_what_was_not_heard_is_not_claimed() -> None:
    for checked in (in_the_room(None), in_the_room(bleed_db=None)):
        told, found = room_says(checked, singers=7)
        assert found is None
        assert "seven" in told[-1]
        assert not any("Loud enough" in one for one in told)


@pytest.mark.parametrize(("room_dbfs", "word"), [(-60.0, "quiet enough"), (-45.0, "noisy"), (-35.0, "too loud")])
def test_a_room_is_quiet_or_noisy_against_a_voice(room_dbfs: float, word: str) -> None:
    told, _ = room_says(in_the_room(room_dbfs=room_dbfs), singers=7)
    assert word in told[1]
