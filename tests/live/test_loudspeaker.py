"""Our own loudspeaker comes back through the microphone of a real server, and soundcheck has learnt how."""

from __future__ import annotations

from pathlib import Path

import pytest
import servers
from live_stage import QPM, SCORE, line_sung, recorded, signs_of, table_of

pytestmark = pytest.mark.parametrize("stage", ["pulse"], indirect=True)
SING = ("sing", SCORE, "--voice", "tenor", "--tempo", QPM, "--look-through", "0")
NOT_SUNG = {"silent", "unsure", "rest"}
TIMED = {"late", "early"}


def learnt(stage) -> float:
    """soundcheck beside the loudspeaker: by how many dB it takes our own sound down."""
    servers.leak_through_pulse(stage.server)
    _, told, err = table_of(stage.heldline("soundcheck", "--listen", "0", "--json"))
    assert told.get("own_sound_taken_db") is not None, (told, err)
    return float(told["own_sound_taken_db"])


def test_a_shut_mouth_beside_a_loudspeaker_that_soundcheck_learnt_is_nobody(stage) -> None:
    print(f"the room is learnt to {learnt(stage)} dB")
    status, live, err = table_of(stage.heldline(*SING, "--json"))
    assert status == 5, (err, live.get("beats"), live.get("remarks"))
    assert live["status"] == "nothing heard"
    assert {beat["sign"] for beat in live["beats"]} <= NOT_SUNG


def test_a_right_singer_is_held_over_a_loudspeaker_that_soundcheck_learnt(stage, tmp_path: Path) -> None:
    print(f"the room is learnt to {learnt(stage)} dB")
    sung = recorded(tmp_path, line_sung(), music_at_s=0)
    status, lines = stage.sung_at_the_word(sung, *SING, "--plain")
    print("\n".join(lines))
    assert status == 0, lines
    _, live, err = table_of(stage.heldline("review", "--json"))
    # the singer of this stand begins when its server lets it: pitch is told here, time is not
    assert all(set(n["signs"]) <= {"held", *TIMED} for n in live["notes"]), (signs_of(live), err)
    assert len(live["notes"]) == 11
    assert any("was taken away" in line for line in lines)
