"""``hear`` and ``review --hear`` through a real sound server: what comes out of the loudspeaker is what a file would hold."""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np
import pytest
import servers
import soundfile

from audio.block import Block
from trainer.takes.recording import heard_from

TWO = "title: Two\nmeter: 2/4\ntempo: 120\n\nsoprano | C5 | D |\nbass | C4 | B3 |\n"


@pytest.mark.parametrize("stage", ["pulse"], indirect=True)
def test_a_voice_comes_out_of_the_loudspeaker_as_it_is_written(stage, tmp_path: Path) -> None:
    drill, recording = tmp_path / "two.drill", tmp_path / "out.wav"
    drill.write_text(TWO)
    ear = stage.server.begin("parec", "--device=speaker.monitor", "--file-format=wav", "--channels=1", recording)
    time.sleep(0.5)  # until it listens
    with stage.heldline("hear", drill, "--only", "bass") as process:
        out, err = process.communicate(timeout=30)
    servers.end(ear)
    assert process.returncode == 0, err
    assert "Begin softly" in out
    sound, rate_hz = soundfile.read(recording, dtype="float32")
    frames = list(heard_from([Block(sound[:, None], ("mic1",), 0, rate_hz)]))
    notes = [round(frame.f0_c100 / 10_000) for frame in frames if getattr(frame, "voiced", False)]
    counted = {midi: notes.count(midi) for midi in set(notes)}
    assert set(sorted(counted, key=counted.__getitem__)[-2:]) == {59, 60}  # B3 and C4, a second each
    assert min(counted[59], counted[60]) >= 150  # hops of 5 ms
    assert np.abs(sound).max() < 0.5  # softly
