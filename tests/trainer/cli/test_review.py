"""review: two takes beside one another, bars listened to, beats overruled and shown beside the program's own sign."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
import soundfile
from heard_frames import as_written, frames
from heldline_command import heldline

from trainer.library import resolve
from trainer.log.attempt import Attempt
from trainer.log.store import Store
from trainer.places import places
from trainer.practice.settings import Settings
from trainer.practice.take import Performance
from trainer.score.model import Line, Score
from trainer.score.pitch import Pitch
from trainer.takes.keeping import count, judge_again, put_verdict

TENOR = 2


@pytest.fixture(scope="module")
def bell() -> Score:
    return resolve("Ferry Bell at Low Water")


@cache
def judged_once(
    score: Score, off: tuple[tuple[int, float], ...], lines: tuple[int, ...]
) -> tuple[Attempt, Performance]:
    """A take of one line, some notes at another pitch; the same one is judged once for all tests."""
    sung = [replace(one, midi=one.midi + dict(off).get(k, 0.0)) for k, one in enumerate(as_written(score, lines[0]))]
    attempt = Attempt(
        "",
        "2026-03-01T19:00:00Z",
        "0.1.0",
        "sung",
        score,
        lines,
        Settings(),
        heard=tuple(frames(sung, 45.0)),
    )
    return attempt, judge_again(attempt, attempt.settings)


def sing(score: Score, key: int, off: dict[int, float] | None = None, lines: tuple[int, ...] = (TENOR,)) -> None:
    """Keep such a take."""
    made, performance = judged_once(score, tuple(sorted((off or {}).items())), lines)
    attempt = replace(made, key=f"{key:032x}")
    with Store(places().takes) as store:
        number = store.put(attempt)
        put_verdict(store, number, attempt.settings, performance)
        count(store, number, attempt, performance)


def test_two_takes_beside_one_another_tell_what_changed(bell: Score) -> None:
    sing(bell, 1, {8: 1.0, 4: 1.0})
    sing(bell, 2, {4: 1.0, 1: 1.0})
    done = heldline("review", "--beside", "1")
    assert done.status == 0
    told = " ".join(done.out.split())
    assert "Ferry Bell at Low Water, tenor: take 1 beside take 2" in told
    assert "Held 9 of 11 notes in take 1, 9 of 11 notes in take 2." in told
    assert "Held in take 2 only: bar 9 beat 1 (off, A3 heard for G#3" in told
    assert "Held in take 1 only: bar 2 beat 1 (off" in told
    assert "Bar 5 in neither: off, C4 heard for B3" in told
    assert "held within 25 cents" in told
    table = heldline("review", "2", "--beside", "1", "--json").table
    assert table["takes"] == [1, 2]
    assert table["bars"][8] == {"bar": 9, "bar_of_second": 9, "first": ["off"], "second": ["held"]}


def test_a_take_of_the_line_before_it_was_rewritten_is_compared_where_it_is_the_same(bell: Score) -> None:
    notes = list(bell.lines[TENOR].notes)
    notes[6] = replace(notes[6], pitch=Pitch.parse("B3"))
    lines = list(bell.lines)
    lines[TENOR] = Line("tenor", tuple(notes))
    sing(bell, 1)
    sing(replace(bell, lines=tuple(lines)), 2)
    told = " ".join(heldline("review", "--beside", "1").out.split())
    assert "Every bar was held in both." in told
    assert "Rewritten since, and not compared: bar 7." in told


def test_takes_of_other_lines_are_not_compared(bell: Score) -> None:
    sing(bell, 1)
    sing(bell, 2, lines=(1,))
    sing(resolve("Eleven Lamps"), 3)
    for other in ("2", "3"):
        done = heldline("review", "1", "--beside", other)
        assert done.status == 2
        assert "is not of the same line" in done.err


def test_a_take_is_not_compared_with_itself(bell: Score) -> None:
    sing(bell, 1)
    done = heldline("review", "--beside", "1")
    assert done.status == 2
    assert "take 1 is the one that is shown" in done.err


def test_bars_are_written_to_be_heard_and_the_places_told(bell: Score, tmp_path: Path) -> None:
    sing(bell, 1, {8: 2.0})
    done = heldline("review", "--hear", "9", "-o", tmp_path / "nine.wav")
    assert done.status == 0
    assert "what you sang at 0.0 s, the right bar at 4.8 s, both at 9.6 s" in done.out
    assert soundfile.info(tmp_path / "nine.wav").duration == pytest.approx(14.4, abs=0.1)
    table = heldline("review", "--hear", "8-9", "-o", tmp_path / "two.flac", "--json").table
    assert [part["part"] for part in table["parts"]] == ["mine", "right", "both"]


def test_of_several_lines_sung_at_once_why_tells_the_one_that_was_asked_for(bell: Score) -> None:
    sing(bell, 1, lines=(TENOR, 1))
    both = heldline("review", "--why", "9.1").out
    assert (both.count("tenor:"), both.count("alto:")) == (1, 1)
    alto = heldline("review", "--why", "9.1", "--voice", "alto")
    assert alto.status == 0
    assert "B3, from bar 9 beat 1" in alto.out
    assert "G#3" not in alto.out
    told = heldline("review", "--why", "9.1", "--voice", "alto", "--json").table
    assert [line["voice"] for line in told["lines"]] == ["alto"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("-o", "a.wav"), "nothing is asked to be heard"),
        (("--hear", "9", "--json"), "--json tells of a file"),
        (("--hear", "x", "-o", "a.wav"), "'x' is not a bar"),
        (("--hear", "11-12", "-o", "a.wav"), "there are no bars 11-12"),
        (("--hear", "9", "-o", "a.mp3"), "sound is written as .wav or .flac"),
        (("--overrule", "5.1", "held"), "--overrule needs its reason"),
        (("--overrule", "5.1", "splendid", "--because", "x"), "'splendid' is not a sign"),
        (("--overrule", "99.1", "held", "--because", "x"), "the take has no bar 99 beat 1"),
        (("--overrule", "5", "held", "--because", "  "), "a reason is a few words"),
        (("--why", "5.1", "--beside", "1"), "two questions"),
        (("--voice", "alto", "--hear", "9", "-o", "a.wav"), "the alto was not sung in this take"),
        (("--beside", "9"), "there is no take 9"),
    ],
)
def test_what_cannot_be_is_one_clear_sentence(bell: Score, words: tuple[str, ...], said: str, tmp_path: Path) -> None:
    sing(bell, 1)
    done = heldline("review", *words)
    assert done.status == (4 if "take 9" in said else 2)
    assert said in done.err
    assert list(tmp_path.glob("a.*")) == []


def test_an_overruled_beat_stands_beside_the_programs_sign_with_its_reason(bell: Score) -> None:
    sing(bell, 1, {8: 1.0})
    before = heldline("review", "--json").table
    done = heldline("review", "--overrule", "9.1", "held", "--because", "the door slammed")
    assert done.status == 0
    assert "Overruled: bar 9 beat 1: held, since the door slammed (heldline says off)" in done.out
    after = heldline("review", "--json").table
    (told,) = after.pop("overruled")
    assert {name: told[name] for name in ("bar", "beat", "sign", "reason", "judged")} == {
        "bar": 9, "beat": 1.0, "sign": "held", "reason": "the door slammed", "judged": "off",
    }  # fmt: skip
    assert after == before  # beside, never instead
    heldline("review", "--overrule", "9.1", "flat", "--because", "I listened again")
    (told,) = heldline("review", "--json").table["overruled"]
    assert told["sign"] == "flat"


def test_looking_changes_neither_the_list_nor_the_tally(bell: Score) -> None:
    sing(bell, 1, {8: 0.3})
    before = heldline("takes").out, heldline("tally").out
    assert heldline("review", "--tolerance", "70").status == 0
    assert (heldline("takes").out, heldline("tally").out) == before
    assert heldline("takes", "again", "--tolerance", "35").status == 0
    assert heldline("takes").out != before[0]


def test_a_take_judged_under_several_settings_tells_what_it_came_to_under_each(bell: Score) -> None:
    sing(bell, 1, {8: 0.3})
    assert "Judged" not in heldline("review").out
    assert heldline("takes", "again", "--tolerance", "35").status == 0
    told = " ".join(heldline("review").out.split())
    assert "Judged within 25 cents, equal tuning, steady octave: 10 of 11 held; within 35 cents, equal tuning" in told
    assert told.endswith("11 of 11 held, which counts")
