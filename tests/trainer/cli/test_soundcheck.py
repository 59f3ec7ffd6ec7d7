"""``heldline soundcheck`` as a program of its own, on private servers and on a machine with nothing."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import servers
from heldline_command import Done, heldline, heldline_child
from real_links import save, tone

KEYS = {"schema", "input", "output", "round_trip_ms", "spread_ms", "bleed_db", "source", "says"}


@pytest.fixture
def there() -> None:
    missing = servers.missing_programs()
    if missing:
        pytest.skip(f"not installed: {', '.join(missing)}")


@pytest.fixture
def pulse(there: None) -> Iterator[servers.Server]:
    with servers.pulse() as server:
        yield server


def soundcheck(server: servers.Server, *words: object) -> Done:
    names = {name: server.env[name] for name in servers.NAMES if name in server.env}
    return heldline_child("soundcheck", *words, env=names, timeout_s=60)


def test_a_leaking_loudspeaker_is_heard_measured_and_remembered(pulse: servers.Server, own_home: Path) -> None:
    servers.leak_through_pulse(pulse)
    first = soundcheck(pulse, "--json", "--listen", 0.5)
    assert first.status == 0, first.err
    table = first.table
    assert set(table) >= KEYS
    assert table["schema"] == "heldline.soundcheck/1"
    assert table["source"] == "measured"
    assert table["heard"] == ["own voices"]
    assert 20 < table["round_trip_ms"] < 400
    assert table["spread_ms"] <= 5
    assert abs(table["bleed_db"]) < 1
    assert "headphones" in table["says"]
    assert json.loads((own_home / "devices.json").read_text())["last"] == {"input": "default", "output": "default"}
    pulse.run("pactl", "unload-module", "module-loopback")
    again = soundcheck(pulse, "--listen", 0)
    assert again.status == 5
    told = re.search(r"Round trip: ([0-9.]+) ms, measured on 20", again.out)
    assert told is not None, again.out
    assert abs(float(told[1]) - table["round_trip_ms"]) <= 0.1  # the table has one digit more


def test_somebody_humming_is_heard_by_name(pulse: servers.Server, tmp_path: Path) -> None:
    hiss = np.random.default_rng(9).standard_normal(48_000 * 20) * 0.0005
    recording = save(tmp_path / "hum.wav", np.concatenate([np.zeros(48_000 * 5), tone(220.0, 15.0)]) + hiss)
    with servers.sung_through_pulse(pulse, recording):
        done = soundcheck(pulse, "--json", "--listen", 12)
    assert done.status == 0, done.err
    assert done.table["heard"] == ["you"]
    assert done.table["note"] == "A3"
    assert done.table["steady"] is True
    assert done.table["source"] in ("reported", "assumed")


def test_only_zeros_is_told_with_what_to_do_and_ends_as_nothing_heard(pulse: servers.Server) -> None:
    done = soundcheck(pulse, "--listen", 0.3)
    assert done.status == 5
    assert "perfect silence" in done.out
    assert "allow the microphone" in done.out
    assert "late and early are not judged until it is measured" in done.out
    assert "hold" in done.out
    assert "Playing six soft chirps." in done.err
    assert "Traceback" not in done.err


def test_an_unknown_device_is_status_three_with_the_names(pulse: servers.Server) -> None:
    done = soundcheck(pulse, "--microphone", "nowhere")
    assert done.status == 3
    assert "no microphone called nowhere" in done.err
    assert "heldline_mic" in done.err
    assert done.out == ""


def test_the_list_names_what_is_plugged_in(pulse: servers.Server) -> None:
    done = soundcheck(pulse, "--list", "--json")
    assert done.status == 0
    assert "heldline_mic" in {one["name"] for one in done.table["inputs"]}
    assert done.table["keys"] == []
    assert "Keys: none" in soundcheck(pulse, "--list").out


def test_a_machine_with_nothing_gets_one_message_and_status_three() -> None:
    with servers.nothing_there() as bare:
        done = soundcheck(bare, "--json")
        listed = soundcheck(bare, "--list")
    assert done.status == 3
    assert done.out == ""
    assert "no microphone and no sound output here" in done.err
    assert len(done.err.strip().splitlines()) <= 3
    assert listed.status == 3
    assert "Microphones: none" in listed.out
    assert listed.err == ""  # nothing that ALSA or JACK print from C


def test_a_wait_that_nobody_wants_is_wrong_usage() -> None:
    assert heldline("soundcheck", "--listen", "600").status == 2
    assert heldline("soundcheck", "--listen", "soon").status == 2


def test_a_home_that_cannot_be_written_takes_nothing_from_the_result(pulse: servers.Server, own_home: Path) -> None:
    own_home.write_text("a file where the folder should be")
    done = soundcheck(pulse, "--listen", 0, "--json")
    assert done.status == 5
    assert done.table["heard"] == ["only zeros"]
    assert "cannot be remembered" in done.err
