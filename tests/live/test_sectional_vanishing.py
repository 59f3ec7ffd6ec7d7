"""A section whose microphone is pulled out in the third turn, on a real server: the two before are kept, and one sentence says so.

Taken up again on the pretend link (``tests/trainer/live/test_sectional.py``).
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import servers
from live_stage import Stage
from section_stage import Leader, led, recorded_line

from trainer.library import resolve

ROPE = ("Rope over the Sluice", "--voice", "alto", "--tempo", "400", "--bars", "5-6")
ALTO = 1


@pytest.fixture
def pulse(there: None) -> Iterator[servers.Server]:
    with servers.pulse() as server:
        yield server


def turn(leader: Leader, *recordings: Path) -> None:
    leader.until("Now: next")
    leader.type("")
    leader.sings(*recordings)


def test_a_microphone_that_vanishes_in_the_third_turn_costs_neither_of_the_two_before_and_is_one_sentence(
    pulse: servers.Server, tmp_path: Path
) -> None:
    stage = Stage(pulse, "pulse", tmp_path / "home")
    sung = recorded_line(tmp_path, resolve(ROPE[0]), ALTO, (4, 7), 400)
    (module,) = [
        line.split()[0]
        for line in pulse.run("pactl", "list", "short", "modules").splitlines()
        if "remap-source" in line
    ]
    leader = led(stage, *ROPE, "--desks", "4")
    leader.type("t")
    for _ in range(2):
        turn(leader, sung)
    turn(leader)
    time.sleep(0.3)
    pulse.run("pactl", "unload-module", module)
    status, lines = leader.left()
    said = leader.process.stderr.read()
    leader.close()
    assert status == 3, (lines, said)
    assert "heldline: the microphone has vanished; what was sung before is kept\n" in said
    assert "plug it in again; the same command goes on" in said
    assert len(said.strip().splitlines()) == 3
    assert any(line.startswith("Rope over the Sluice: alto, 2 desks, 2 heard") for line in lines), lines
