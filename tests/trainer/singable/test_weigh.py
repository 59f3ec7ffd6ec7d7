"""A line weighed: exact points, the same wherever the music is moved to, and remarks that come and go with what is written."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import pytest
from written import score

from trainer.formats import read_path
from trainer.library import exercises
from trainer.score.change import transpose
from trainer.score.pitch import Interval, Pitch
from trainer.score.time import TempoMap
from trainer.singable.compass import COMPASSES, Compass, own_compass
from trainer.singable.counted import CLASSES, bits_c100, table
from trainer.singable.weigh import EASY, HARD, MEDIUM, Weighed, grade_of, weigh

STEPS_ONLY = "mode: C ionian; tempo: 96 :: C5 | D | C // G4 | G | G // E4 | D | E // C4 | B3 | C"
DRILLS = exercises()[::8]


def points(text: str, line: int = 0) -> list[Fraction]:
    return [note.points for note in weigh(score(text), line).notes]


def kinds(weighed: Weighed, bar: int) -> set[str]:
    return {reason.kind for note in weighed.notes if note.place.bar == bar for reason in note.reasons}


def moved(compass: Compass, semitones: int) -> Compass:
    names = ("lowest", "highest", "ease_from", "ease_to", "break_from", "break_to")
    return replace(compass, **{name: getattr(compass, name) + semitones for name in names})


def test_a_line_of_steps_weighs_nothing_but_its_breath() -> None:
    assert points(STEPS_ONLY) == [0, 0, 0]


@pytest.mark.parametrize(
    ("leap", "cost"),
    [
        ("E5", 1),
        ("F5", Fraction(3, 2)),
        ("G5", Fraction(3, 2)),
        ("Ab5", 3),
        ("A5", Fraction(7, 2)),
        ("C6", Fraction(5, 2)),
    ],
)
def test_leaps_cost_what_the_craft_says(leap: str, cost: Fraction) -> None:
    weighed = weigh(score(f"tempo: 96 :: C5 | {leap} | D5 // C3 | D | C"), 0)
    assert [reason.points for reason in weighed.notes[1].reasons if reason.kind == "leap"] == [cost]


def test_a_fifth_down_costs_more_than_one_up() -> None:
    up, down = (
        [reason.points for reason in weigh(score(text), 0).notes[1].reasons if reason.kind == "leap"]
        for text in ("C5 | G5 | F // C4 | C | C", "G5 | C5 | D // C4 | C | C")
    )
    assert (up, down) == ([Fraction(3, 2)], [2])


@pytest.mark.parametrize("drill", DRILLS, ids=lambda one: one.title)
def test_moving_the_music_and_the_singer_together_changes_no_points(drill) -> None:
    here = read_path(drill.path)
    there = transpose(here, Interval(1, 2))
    for line in range(len(here.lines)):
        compass = weigh(here, line).compass
        before, after = (
            [[(reason.kind, reason.points) for reason in note.reasons] for note in weighed.notes]
            for weighed in (weigh(here, line), weigh(there, line, compass=moved(compass, 2)))
        )
        assert [sorted(one) for one in before] == [sorted(one) for one in after]


@pytest.mark.parametrize("drill", DRILLS, ids=lambda one: one.title)
def test_points_are_exact_and_told_for_every_note(drill) -> None:
    here = read_path(drill.path)
    for line in range(len(here.lines)):
        weighed = weigh(here, line)
        assert len(weighed.notes) == len(here.lines[line].notes)
        assert weighed.mean_points * len(weighed.notes) == sum(note.points for note in weighed.notes)
        assert weighed.grade == grade_of(weighed.mean_points)
        assert all(isinstance(note.points, Fraction) and note.points >= 0 for note in weighed.notes)


def test_a_line_raised_above_its_voice_gets_a_remark_with_the_bar() -> None:
    low, high = (score(f"E5 | {name} | E // G3 | A | G // C3 | C | C") for name in ("F5", "A5"))
    assert "outside-compass" not in kinds(weigh(low, 0), 2)
    assert "outside-compass" in kinds(weigh(high, 0), 2)


def test_a_tritone_put_into_a_line_gets_a_remark_with_the_bar_and_it_goes_with_the_tritone() -> None:
    mended, wrong = (score(f"F4 G A {name} | A G A G // D4 | D") for name in ("A", "B"))
    assert "tritone-outline" in kinds(weigh(wrong, 0), 1)
    assert "tritone-outline" not in kinds(weigh(mended, 0), 1)


def test_a_singers_own_compass_is_what_counts() -> None:
    piece = score("A4 | B | A // D4 | D | D")
    narrow = own_compass(COMPASSES["alto"], Pitch.parse("C4"), Pitch.parse("A4"))
    assert "outside-compass" not in kinds(weigh(piece, 0), 2)
    assert "outside-compass" in kinds(weigh(piece, 0, compass=narrow), 2)
    with pytest.raises(ValueError, match="no compass"):
        own_compass(COMPASSES["alto"], Pitch.parse("A4"), Pitch.parse("C4"))


def test_a_slower_tempo_asks_for_more_breath() -> None:
    piece = score("C5 | - | B4 | C5")
    slow, fast = (weigh(piece, 0, tempo=TempoMap(((Fraction(0), Fraction(qpm)),))) for qpm in (40, 200))
    assert slow.mean_points > fast.mean_points


def test_a_line_is_weighed_for_the_voice_where_it_lies_whatever_its_number() -> None:
    piece = score("A3 | B | A // D3 | D | D")  # two voices are called soprano and bass
    assert [weigh(piece, line).compass.voice for line in (0, 1)] == ["tenor", "bass"]


@pytest.mark.parametrize(
    ("mean", "grade"),
    [(0, EASY), (Fraction(59, 100), EASY), (Fraction(3, 5), MEDIUM), (1, MEDIUM), (Fraction(11, 10), HARD)],
)
def test_grades_go_up_with_the_mean(mean: Fraction, grade: str) -> None:
    assert grade_of(Fraction(mean)) == grade


@pytest.mark.parametrize("voice", COMPASSES)
def test_bits_are_the_logarithm_of_the_share_rounded_down(voice: str) -> None:
    kinds_of_interval = len({one for (name, _), counts in table().items() if name == voice for one in counts}) + 1
    for before in CLASSES:
        row = table()[voice, before]
        for interval in [*row, (9, 15)]:
            share = (2 * row.get(interval, 0) + 1) / (2 * sum(row.values()) + kinds_of_interval)
            assert -0.011 <= bits_c100(voice, before, interval) / 100 + math.log2(share) <= 1e-9


def test_the_shares_of_a_row_come_to_one() -> None:
    for voice in COMPASSES:
        intervals = {one for (name, _), counts in table().items() if name == voice for one in counts}
        for before in CLASSES:
            total = sum(2 ** (-bits_c100(voice, before, one) / 100) for one in [*intervals, (9, 15)])
            assert total == pytest.approx(1, rel=0.01)


def test_the_rare_is_more_surprising_than_the_common() -> None:
    for voice in COMPASSES:
        step, fourth, seventh = (bits_c100(voice, "step-down", interval) for interval in ((1, 2), (3, 5), (6, 11)))
        assert step < fourth < seventh


def test_the_table_has_what_the_chorales_have_and_nothing_is_told_of_them_but_counts() -> None:
    # the same edition as tests/bench/singable/count.py counts; totals as printed by it
    totals = {
        voice: sum(sum(row.values()) for (name, _), row in table().items() if name == voice) for voice in COMPASSES
    }
    assert totals == {"soprano": 16294, "alto": 19456, "tenor": 20231, "bass": 20752}
    steps = sum(count for row in table().values() for (letters, _), count in row.items() if abs(letters) == 1)
    assert 0.65 < steps / sum(totals.values()) < 0.70
