"""Our own loudspeaker comes back through the microphone of a real server, and soundcheck has learnt how."""

from __future__ import annotations

from pathlib import Path

import pytest
import servers
from live_stage import QPM, SCORE, line_sung, recorded, signs_of, table_of

SING = ("sing", SCORE, "--voice", "tenor", "--tempo", QPM, "--look-through", "0", "--bars", "1-6")
NOT_SUNG = {"silent", "unsure", "rest"}
TIMED = {"late", "early"}


@pytest.mark.parametrize("stage", ["pulse"], indirect=True)
def test_beside_a_loudspeaker_that_soundcheck_learnt_a_shut_mouth_is_nobody_and_a_right_singer_is_held(
    stage, tmp_path: Path
) -> None:
    servers.leak_through_pulse(stage.server)
    _, told, err = table_of(stage.heldline("soundcheck", "--listen", "0", "--json"))
    assert told.get("own_sound_taken_db") is not None, (told, err)
    print(f"the room is learnt to {told['own_sound_taken_db']} dB")

    status, live, err = table_of(stage.heldline(*SING, "--json"))
    assert status == 5, (err, live.get("beats"), live.get("remarks"))
    assert live["status"] == "nothing heard"
    assert {beat["sign"] for beat in live["beats"]} <= NOT_SUNG

    sung = recorded(tmp_path, line_sung()[:6], music_at_s=0)
    status, lines = stage.sung_at_the_word(sung, *SING, "--plain")
    print("\n".join(lines))
    assert status == 0, lines
    assert any("was taken away" in line for line in lines)
    _, live, err = table_of(stage.heldline("review", "--json"))
    # the singer of this stand begins when its server lets it, and its loopback slides and now and then jumps
    held = [bool(set(n["signs"]) & {"held", "breath", *TIMED}) for n in live["notes"]]
    assert len(held) == 6
    assert sum(held) >= 4, (signs_of(live), live["gaps"], err)
    # doubt is allowed beside a loudspeaker, a wrong word is not
    assert {n["sign"] for n in live["notes"]} <= {"held", "breath", "unsure", *TIMED}, (signs_of(live), live["gaps"])
