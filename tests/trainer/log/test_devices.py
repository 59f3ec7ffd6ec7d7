"""What is remembered of devices."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from trainer.errors import LogError
from trainer.log.devices import KEPT_PAIRS, DeviceMemory, MeasuredPair, Pair

PAIR = Pair("USB Microphone", "Headphones", 48_000, 512)
MEASURED = MeasuredPair(PAIR, 16.0, 0.2, -18.0, "2026-03-01T10:00:00+00:00")


def test_a_pair_is_found_again_and_only_as_it_was_opened(tmp_path: Path) -> None:
    memory = DeviceMemory(tmp_path / "state" / "devices.json")
    assert memory.measured(PAIR) is None
    memory.remember(MEASURED)
    assert DeviceMemory(tmp_path / "state" / "devices.json").measured(PAIR) == MEASURED
    assert memory.measured(replace(PAIR, block_frames=256)) is None
    assert memory.measured(replace(PAIR, output="Loudspeaker")) is None


def test_a_new_measurement_takes_the_place_of_the_old(tmp_path: Path) -> None:
    memory = DeviceMemory(tmp_path / "devices.json")
    memory.remember(MEASURED)
    memory.remember(replace(MEASURED, round_trip_ms=138.0))
    found = memory.measured(PAIR)
    assert found is not None
    assert found.round_trip_ms == 138.0
    assert len(json.loads((tmp_path / "devices.json").read_text())["pairs"]) == 1


def test_devices_are_remembered_by_name_beside_the_pairs(tmp_path: Path) -> None:
    memory = DeviceMemory(tmp_path / "devices.json")
    assert memory.last("input") is None
    memory.use(input="USB Microphone", output="Headphones")
    memory.remember(MEASURED)
    memory.use(keys="organ")
    assert [memory.last(kind) for kind in ("input", "output", "keys", "synth")] == [
        "USB Microphone",
        "Headphones",
        "organ",
        None,
    ]
    assert memory.measured(PAIR) == MEASURED


def test_old_pairs_are_forgotten_in_the_end(tmp_path: Path) -> None:
    memory = DeviceMemory(tmp_path / "devices.json")
    for number in range(KEPT_PAIRS + 5):
        memory.remember(replace(MEASURED, pair=replace(PAIR, input=f"microphone {number}")))
    assert memory.measured(replace(PAIR, input="microphone 4")) is None
    assert memory.measured(replace(PAIR, input="microphone 5")) is not None


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "null",
        '{"pairs": 3, "last": []}',
        '{"pairs": [1, {"pair": 2}, {"pair": {"input": 1}}]}',
        "\x00\xff",
    ],
)
def test_a_damaged_file_is_no_memory_and_no_error(tmp_path: Path, text: str) -> None:
    path = tmp_path / "devices.json"
    path.write_text(text, encoding="utf-8")
    memory = DeviceMemory(path)
    assert memory.measured(PAIR) is None
    assert memory.last("input") is None
    memory.remember(MEASURED)
    memory.use(input="x")
    assert memory.measured(PAIR) == MEASURED
    assert memory.last("input") == "x"


def test_a_file_that_is_not_text_is_no_memory(tmp_path: Path) -> None:
    path = tmp_path / "devices.json"
    path.write_bytes(b"\xff\xfe\x00bad")
    assert DeviceMemory(path).measured(PAIR) is None


def test_a_place_that_cannot_be_written_is_an_error_with_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(LogError, match="cannot be remembered") as caught:
        DeviceMemory(tmp_path / "file" / "devices.json").use(input="x")
    assert "HELDLINE_HOME" in caught.value.do
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file"]
