"""Four singers in processes of their own, each at a microphone of JACK that hears the others too; heldline judges them side by side."""

from __future__ import annotations

import contextlib
from pathlib import Path

import servers
from live_stage import QPM, Stage, signs_of, table_of
from quartet_stage import COUNT_S, EXPECTED, LINES, SCORE, VOICES, joined, planted, recorded


def test_each_fault_of_a_quartet_is_named_at_its_voice_and_none_at_another(there, tmp_path: Path) -> None:
    with servers.jack(microphones=len(VOICES)) as server, contextlib.ExitStack() as singers:
        stage = Stage(server, "jack", tmp_path / "home")
        standing = [singers.enter_context(stage.singer(path, COUNT_S)) for path in recorded(tmp_path, planted())]
        words = (
            "sing",
            SCORE,
            "--lines",
            LINES,
            "--bars",
            "1-5",
            "--tempo",
            QPM,
            "--look-through",
            4,
            "--keep-sound",
            "--json",
        )
        for one in standing:
            one.stdin.write("sing\n")
            one.stdin.flush()
        process = stage.heldline(*words)
        joined(stage)
        status, live, err = table_of(process)
    assert status == 0, err
    assert {take["voice"]: signs_of(take) for take in live["takes"]} == EXPECTED, live["takes"][0]["gaps"]
    assert {note["pulled_to"] for note in live["takes"][1]["notes"]} == {None, "soprano"}
    assert [voice["voice"] for voice in live["together"]["voices"]] == list(VOICES)
    # the same take from the recording that it left: one file, a channel a singer
    (kept,) = (stage.home / "sound").iterdir()
    starts = f"{live['takes'][0]['settings']['starts_at_s']:.9f}"
    words = ("sing", SCORE, "--lines", LINES, "--tempo", QPM, "--input", kept, "--starts-at", starts, "--json")
    status, judged, err = table_of(stage.heldline(*words))
    assert status == 0, err
    assert [signs_of(take)[:5] for take in judged["takes"]] == [signs_of(take) for take in live["takes"]]
