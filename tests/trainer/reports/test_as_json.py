"""The JSON that outside programs rely on, key by key as its contract has them."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction

from handmade_takes import clean_take, faulty_take, note, nothing_heard, take_of

from trainer.practice.settings import Settings
from trainer.practice.signs import Sign
from trainer.practice.take import BeatVerdict, Performance
from trainer.reports.as_json import as_text, group_to_json, to_json

TAKE_KEYS = {
    "schema", "score", "voice", "voice_number", "source", "settings", "notes", "beats", "clashes", "extra", "drift_cents",
    "octave_shift", "whole_take_cents", "status", "result",
}  # fmt: skip
SETTING_KEYS = {
    "a4_hz", "against", "tolerance_cents", "on_time_ms", "octave", "tempo_qpm", "starts_at_s", "time", "alone",
}  # fmt: skip
NOTE_KEYS = {
    "bar", "beat", "length_beats", "expected", "start_s", "end_s", "sign", "signs", "sung", "cents", "uncertainty_cents",
    "onset_error_ms", "release_error_ms", "pulled_to", "also_note_of", "restruck", "scoop_cents", "vibrato",
}  # fmt: skip


def test_every_key_of_the_contract_is_there() -> None:
    table = to_json(faulty_take())
    assert set(table) >= TAKE_KEYS
    assert set(table["score"]) >= {"title", "parts"}
    assert set(table["settings"]) >= SETTING_KEYS
    assert all(set(one) >= NOTE_KEYS for one in table["notes"])
    assert all(set(one) >= {"bar", "beat", "sign", "cents"} for one in table["beats"])
    assert set(table["clashes"][0]) >= {"bar", "beat", "figure", "prepared", "held", "resolved"}
    assert set(table["extra"][0]) >= {"start_s", "end_s", "sung"}
    assert table["schema"] == "heldline.take/1"


def test_a_note_is_told_in_the_contracts_units() -> None:
    told = to_json(faulty_take())["notes"][0]
    assert told["beat"] == 1.0
    assert isinstance(told["beat"], float)
    assert told["length_beats"] == 4.0
    assert told["cents"] == -4
    assert isinstance(told["cents"], int)
    assert told["vibrato"] == {"rate_hz": 5.5, "extent_cents": 40}
    assert told["scoop_cents"] == -80


def test_a_beat_is_a_whole_number_where_it_is_one() -> None:
    half = BeatVerdict(1, Fraction(5, 2), "1", Sign.HELD)
    beats = to_json(replace(clean_take(), beats=(clean_take().beats[1], half)))["beats"]
    assert [one["beat"] for one in beats] == [2, 2.5]
    assert isinstance(beats[0]["beat"], int)


def test_the_printed_number_stands_beside_only_where_it_differs() -> None:
    notes = [note(1), replace(note(2), printed_bar="17a")]
    told = to_json(take_of(notes))["notes"]
    assert "printed_bar" not in told[0]
    assert told[1]["printed_bar"] == "17a"
    assert told[1]["bar"] == 2


def test_counts_are_by_main_sign_and_unsure_is_left_out_of_judged() -> None:
    result = to_json(faulty_take())["result"]
    assert result["notes"] == 11
    assert result["judged"] == 10
    assert result["held"] == 2
    assert result["late"] == 1
    assert "early" not in result  # the flat note that was early too counts once


def test_one_object_on_one_line_in_plain_letters() -> None:
    take = replace(nothing_heard(), title="Grüne Wände \u266f")
    text = as_text(to_json(take))
    assert "\n" not in text
    assert text.isascii()
    assert json.loads(text)["score"]["title"] == "Grüne Wände \u266f"


def test_settings_are_plain_numbers() -> None:
    take = replace(clean_take(), settings=Settings(starts_at_s=Fraction(1, 3)), tempo_qpm=Fraction(121, 2))
    told = to_json(take)["settings"]
    assert told["tempo_qpm"] == 60.5
    assert abs(told["starts_at_s"] - 1 / 3) < 1e-12


def test_several_lines_are_one_group() -> None:
    group = group_to_json(Performance((clean_take(), replace(clean_take(), voice="bass", voice_number=4))))
    assert group["schema"] == "heldline.group/1"
    assert [one["voice"] for one in group["takes"]] == ["tenor", "bass"]
