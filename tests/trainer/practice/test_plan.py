"""What a plan knows of who sounds."""

from __future__ import annotations

from dataclasses import replace

from live_rig import SETTINGS, short_score

from trainer.practice.plan import make_plan


def test_our_own_voices_may_be_heard_wherever_one_of_the_score_is_not_sung() -> None:
    score = short_score()
    assert make_plan(score, (2,), SETTINGS).beside_loudspeaker
    assert make_plan(score, (0, 1, 2), SETTINGS).beside_loudspeaker
    assert not make_plan(score, (0, 1, 2, 3), SETTINGS).beside_loudspeaker
    assert not make_plan(score, (2,), replace(SETTINGS, alone=True)).beside_loudspeaker
