"""Whatever is written is checked to the end, under every rule set and species, and told in the order of gravity."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import scores
from written import score as written

from trainer.rules.checking import check
from trainer.rules.ruleset import SHIPPED, shipped
from trainer.score.model import Line, Score
from trainer.score.pitch import Interval

GRAVITY = ("forbidden", "avoid", "style")
SPECIES = (None, "free", "1", "2", "3", "4", "5", "combined")


@settings(max_examples=40, deadline=None)
@given(score=scores(most_lines=5), rules=st.sampled_from(SHIPPED), species=st.sampled_from(SPECIES))
def test_any_score_is_checked_and_its_findings_lie_inside_it(score: Score, rules: str, species: str | None) -> None:
    report = check(score, shipped(rules), species)
    numbers = [bar.number for bar in score.bars().bars]
    for finding in report.findings:
        assert finding.bar in numbers
        assert (finding.bar, finding.beat) <= (finding.to_bar, finding.to_beat)
        assert set(finding.voices) <= set(range(len(score.lines)))
        assert finding.says
    assert report.correct == all(finding.strictness != "forbidden" for finding in report.findings)
    grades = [GRAVITY.index(finding.strictness) for finding in report.findings]
    assert grades == sorted(grades)


@pytest.mark.parametrize("moved", [Interval(2, 3), Interval(-1, -2)])
def test_a_score_moved_to_another_pitch_has_the_same_findings(moved: Interval) -> None:
    from trainer.score.change import transpose

    score = written(
        "mode: D dorian; species: 3; cantus: bass; sing: soprano :: D5 A G E | F B A F | E G C5 B | D // D4 | D4 | C4 | D4"
    )
    compared = [
        [
            (one.rule, one.case, one.bar, one.beat)
            for one in check(piece, shipped("strict16")).findings
            if one.rule != "range-voice"
        ]
        for piece in (score, transpose(score, moved))
    ]
    assert compared[0] == compared[1]
    assert len(compared[0]) > 5


def test_a_voice_alone_and_a_score_of_rests_are_checked() -> None:
    alone = written("D4 | F | E | D")
    assert check(alone, shipped("strict16")).parts == 1
    silent = Score("", (Line("a", ()), Line("b", ())))
    assert check(silent, shipped("strict16")).findings == ()


def test_four_parts_in_192_bars_cost_no_more_a_bar_than_in_24() -> None:
    calls = [_calls(bars) for bars in (24, 192)]
    assert calls[1] < 10 * calls[0]


def _calls(bars: int) -> int:
    """Python calls that a check makes; a count of work that no other process disturbs."""
    import sys

    voices = (
        f"{'A4 G F E | F D E F | ' * (bars // 2)}",
        *(f"{f'{name} | {name} | ' * (bars // 2)}" for name in ("F4", "D4", "D3")),
    )
    score = written("species: 3; cantus: bass; sing: soprano :: " + " // ".join(voice.strip(" |") for voice in voices))
    assert score.end_quarters == Fraction(4 * bars)
    count = 0

    def counted(frame: object, event: str, argument: object) -> None:
        nonlocal count
        count += event == "call"

    sys.setprofile(counted)
    try:
        check(score, shipped("strict16"))
    finally:
        sys.setprofile(None)
    return count


def test_findings_of_one_gravity_follow_the_music() -> None:
    score = written("free: :: A4 | B | C5 | D // D4 | E | F | G")
    found = check(score, shipped("strict16"), "free").findings
    assert [(one.rule, one.to_bar) for one in found if one.strictness == "forbidden"] == [
        ("parallel-fifth", 2),
        ("parallel-fifth", 3),
        ("parallel-fifth", 4),
    ]
    assert all(
        (a.to_bar, a.to_beat) <= (b.to_bar, b.to_beat) for a, b in pairwise(found) if a.strictness == b.strictness
    )
