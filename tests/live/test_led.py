"""A singer who drags, falls silent for a bar and comes back leads the other three through real sound."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from live_stage import QPM, SCORE, line_sung, recorded, signs_of, table_of

LED = (
    "sing",
    SCORE,
    "--voice",
    "tenor",
    "--tempo",
    QPM,
    "--bars",
    "1-4",
    "--lead",
    "singer",
    "--look-through",
    "0",
    "--plain",
)
BAR_S = 4 * 60 / QPM


def dragging_with_a_silent_bar():
    first, second, _, fourth = line_sung()[:4]
    late_s = 1.2 * BAR_S
    return (
        replace(first, end_s=first.end_s + 0.1 * BAR_S),
        replace(second, start_s=second.start_s + 0.1 * BAR_S, end_s=second.end_s + 0.15 * BAR_S),
        replace(fourth, start_s=fourth.start_s + late_s, end_s=fourth.end_s + late_s),
    )


@pytest.mark.parametrize("stage", ["pulse"], indirect=True)
def test_the_others_wait_where_the_singer_is_silent_and_go_on_with_the_singer(stage, tmp_path: Path) -> None:
    status, lines = stage.sung_at_the_word(recorded(tmp_path, dragging_with_a_silent_bar(), music_at_s=0), *LED)
    assert status == 0, lines
    assert "waits for you, bar 4 beat 1" in lines
    assert lines.index("waits for you, bar 4 beat 1") < max(k for k, line in enumerate(lines) if line == "Sing"), lines
    status, live, err = table_of(stage.heldline("review", "--json"))
    assert status == 0, err
    assert signs_of(live) == ["held", "held", "silent", "held"], repr((live["notes"][2:], live["tempo_line"], lines))
    assert live["settings"]["time"] == "free"
    assert all(note["onset_error_ms"] is None for note in live["notes"])
    first, second = live["tempo_line"][:2]
    assert first["tempo_qpm"] == pytest.approx(QPM / 1.1, rel=0.03)
    assert second["bar"] == 2
