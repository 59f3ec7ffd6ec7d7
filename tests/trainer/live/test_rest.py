"""Rest is named after twenty minutes of singing: in a loop that goes on by itself, and counted from before the session."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest
from kept_takes import keep
from live_rig import short_score
from session_rig import Script, run

from trainer.cli._history import sung_without_rest
from trainer.drill.rounds import Drill
from trainer.library import resolve
from trainer.live.courses import DrillCourse
from trainer.live.rest import NUDGE, NUDGE_SECONDS, Rest
from trainer.log.store import Store
from trainer.places import places


def test_it_is_told_beside_what_else_is_to_be_said_once():
    rest = Rest(100, NUDGE_SECONDS - 1)
    assert rest.beside("Slower.") == "Slower."
    rest.sung(100)
    assert rest.beside("Slower.") == f"Slower. {NUDGE}"
    assert rest.beside("") == ""
    rest.sung(NUDGE_SECONDS * 100)
    assert rest.beside("") == NUDGE


def test_a_loop_that_goes_on_by_itself_tells_it_too():
    face = Script((lambda state: state.phase == "singing" and NUDGE in state.notice, "quit"))
    course = DrillCourse(Drill(((1, 2),), steps="kept"), Fraction(120), short_score().bars())
    came, _, _ = run(face, course=course, sung_before_seconds=NUDGE_SECONDS)
    assert len(came.performances) == 2
    assert any(NUDGE in state.notice for state in face.states)


def test_what_was_sung_just_before_counts_and_keys_do_not(monkeypatch: pytest.MonkeyPatch, tmp_path) -> None:
    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path / "home"))
    assert sung_without_rest() == 0
    assert not (tmp_path / "home").exists()
    score = resolve("Ferry Bell at Low Water")

    def at(minutes: int) -> str:
        return (datetime.now(UTC) - timedelta(minutes=minutes)).strftime("%Y-%m-%dT%H:%M:%SZ")

    with Store(places().takes) as store:
        keep(store, score, 2, at(30))
        keep(store, score, 2, at(3))
        keep(store, score, 2, at(2))
        keep(store, score, 2, at(1), source="keyed")
    assert sung_without_rest() == 2 * 44
