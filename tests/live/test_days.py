"""An evening of practice as somebody at a terminal has it, in its short form; the whole days are ``tests/campaign/days.py``."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
import servers
from played_days import ROPE, Evening, thursday
from tmux_terminal import terminal

MINE = """\
title: Mine
meter: 4/4
tempo: 240
mode: D dorian
species: 1
cantus: bass
sing: soprano

soprano | A4 | C5 | B4 | C#5 | D5 |
bass    | D4 | E4 | G4 | E4  | D4 |
"""
GOLDEN = Path(__file__).parents[1] / "golden" / "ours" / "screens"


@pytest.fixture
def evening(there: None, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Evening]:
    with servers.pulse() as server:
        server.env["HELDLINE_HOME"] = str(tmp_path / "home")
        with terminal(tmp_path, server.env, rows=getattr(request, "param", 24)) as window:
            yield Evening(server, window, tmp_path)


@pytest.mark.parametrize("evening", [50], indirect=True)
def test_a_bar_that_fails_three_times_is_named_rewritten_and_held(evening: Evening) -> None:
    warned = "soprano: easy"
    thursday(evening, MINE, MINE.replace("B4", "E5"), 3, voice="soprano", warned=warned, qpm=240)


def test_the_look_through_of_a_drill_is_as_it_was_agreed(evening: Evening) -> None:
    # made by this program, read by a person, then kept
    seen = evening.looks("sing", ROPE, "--voice", "alto", "--look-through", 90)
    assert seen == (GOLDEN / "rope-look-through.txt").read_text(encoding="utf-8")
