"""Two singers, each at a device of their own on a real server, judged side by side; and one of the devices is pulled out in the take."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import servers
import slips
from live_stage import HEARD_LATER_SECONDS, Stage, signs_of
from quartet_stage import written
from section_stage import recorded

QPM = 200
WORDS = ("sing", "Ferry Bell at Low Water", "--bars", "1-5", "--tempo", QPM, "--look-through", "1", "--plain")
LINES = "soprano=heldline_mic:1,alto=second_mic:1"


@pytest.fixture
def pulse(there: None) -> Iterator[servers.Server]:
    with servers.pulse() as server:
        yield server


def sung(folder: Path) -> list[Path]:
    """The soprano's third note flat, the alto's second one."""
    performances = [written(line, qpm=QPM) for line in (0, 1)]
    wrong = [slips.detuned(performances[0], 2, -45), slips.detuned(performances[1], 1, -45)]
    return [
        recorded(
            folder / f"{k}.wav",
            tuple(slips.SungNote(n.index, n.start_s - 0.5, n.end_s - 0.5, n.midi) for n in one),
            seed=30 + k,
        )
        for k, one in enumerate(wrong)
    ]


def taken(stage: Stage, paths: list[Path], pulled_after: str, module: str) -> tuple[int, list[str]]:
    """The take in lines; both sing at the word, and once a line begins so a device is pulled out."""
    told, singers = [], []
    with stage.heldline(*WORDS, "--lines", LINES) as process:
        assert process.stdout is not None
        for line in process.stdout:
            told.append(line.rstrip())
            if line.startswith("Sing"):
                time.sleep(HEARD_LATER_SECONDS)
                for sink, path in zip(("singer", "singer2"), paths, strict=True):
                    singers.append(stage.server.begin("paplay", f"--device={sink}", "--latency-msec=20", path))
            if line.startswith(pulled_after):
                stage.server.run("pactl", "unload-module", module)
                pulled_after = "not again"
        said = process.stderr.read() if process.stderr else ""
    for singer in singers:
        servers.end(singer)
    return process.returncode, [*told, *said.splitlines()]


def reviewed(stage: Stage) -> list[dict]:
    done = stage.heldline("review", "--json")
    out, err = done.communicate(timeout=60)
    assert done.returncode == 0, err
    return json.loads(out)["takes"]


def test_two_devices_are_judged_side_by_side_and_one_pulled_out_is_said_of_its_singer_while_the_other_goes_on(
    pulse: servers.Server, tmp_path: Path
) -> None:
    module = servers.second_microphone(pulse)
    stage = Stage(pulse, "pulse", tmp_path / "home")
    status, told = taken(stage, sung(tmp_path), "Bar 2", module)
    assert status == 0, told
    assert any("as each device says; timing is not judged" in line for line in told)
    (live,) = [line for line in told if line.startswith("Microphone: alto") and "vanished" in line]
    assert live == "Microphone: alto: the microphone (second_mic) has vanished, so nothing is heard; the others go on."
    assert any(line.startswith("Bar 5: soprano held; alto nothing heard") for line in told), told
    soprano, alto = reviewed(stage)
    assert signs_of(soprano) == ["held", "held", "flat", "held", "held"], told
    assert signs_of(alto)[:2] == ["held", "flat"]
    assert signs_of(alto)[3:] == ["unsure"] * 2
    assert alto["status"] == "incomplete"
    assert "Its microphone (second_mic) vanished in bar" in " ".join(told)


def test_a_microphone_that_is_not_there_is_one_sentence(pulse: servers.Server, tmp_path: Path) -> None:
    done = Stage(pulse, "pulse", tmp_path / "home").heldline(*WORDS, "--lines", "soprano=heldline_mic:1,alto=99:1")
    out, err = done.communicate(timeout=60)
    assert done.returncode == 3, (out, err)
    assert "there is no microphone called 99" in err
    assert "heldline_mic" in err
    assert len(err.strip().splitlines()) <= 3
