"""A chorale read in place from the music21 package, learned rung by rung by one who follows the soprano at first. Nothing is stored."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from chorale_parallels import chorales, is_satb
from heard_frames import Sung, as_written, frames
from heldline_command import heldline

from trainer.cli import _live, ladder
from trainer.cli._parser import parse
from trainer.formats import read_path
from trainer.live.choices import Choices
from trainer.live.courses import LadderCourse
from trainer.practice.settings import Settings
from trainer.practice.take import Performance, Take
from trainer.score.change import cut
from trainer.score.model import Score
from trainer.takes.judging import judge

ALTO, SOPRANO = 1, 0
QPM = 96
BARS = (1, 8)
NAME = "bwv269"


@pytest.fixture(scope="module")
def path() -> Path:
    found = next(path for path in chorales() if path.stem == NAME)
    assert is_satb([line.name for line in read_path(found).lines])
    return found


def sung(score: Score, slip: str) -> Take:
    """The alto's line; with "follows" the soprano's notes, in the alto's octave, in the second bar."""
    heard = as_written(score, ALTO, qpm=QPM)
    if slip == "follows":
        bar = score.bars().bars[1]
        heard = [_after(score, one) if _inside(one, bar.onset_quarters, bar.length_quarters) else one for one in heard]
    length_s = float(score.bars().bars[-1].onset_quarters + 6) * 60 / QPM
    settings = Settings(tempo_qpm=Fraction(QPM))
    return judge(score, [ALTO], frames(heard, length_s), settings=settings).takes[0]


def _inside(one: Sung, onset: Fraction, length: Fraction) -> bool:
    return float(onset) <= one.start_s * QPM / 60 < float(onset + length)


def _after(score: Score, one: Sung) -> Sung:
    theirs = score.lines[SOPRANO].at(Fraction(round(one.start_s * QPM / 60 * 8), 8))
    assert theirs is not None
    return replace(one, midi=theirs.pitch.midi - 12.0 * round((theirs.pitch.midi - one.midi) / 12))


def test_a_chorale_is_learned_by_the_ladder_and_nothing_of_it_is_kept(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home = tmp_path / "home"
    monkeypatch.setenv("HELDLINE_HOME", str(home))
    score = cut(read_path(path), *BARS)
    args = parse(["ladder", str(path), "--voice", "alto", "--no-log"])
    wish = ladder.on_the_ladder(args, replace(_live.wish_of(args), score=score))
    course = wish.course
    assert isinstance(course, LadderCourse)
    turn, slips, said = course.begin(Choices(wish.desk, Fraction(QPM))), 3, []
    clean, astray = sung(score, "none"), sung(score, "follows")
    seen = [turn.choices]
    for _ in range(60):
        in_company = SOPRANO not in turn.choices.desk.muted
        take = astray if in_company and slips else clean
        slips -= in_company and slips > 0
        turn = course.after(Performance((take,)), turn.choices)
        seen.append(turn.choices)
        said.append(turn.says)
        if course.climb.state != "climbing":
            break
    assert course.climb.state == "top"
    assert course.climb.held == len(course.rungs) - 1
    assert any("company costs you" in words and "to the soprano" in words for words in said)
    assert "you hold this line" in said[-1]
    assert {one.shown for one in seen} == {"beats", "end", "none"}
    assert any(one.silent_bars for one in seen)
    assert not list(home.rglob("*"))  # neither a take nor a note of the chorale


def test_its_rungs_are_listed_from_where_it_lies(path: Path) -> None:
    done = heldline("ladder", path, "--voice", "alto", "--list")
    assert done.status == 0
    assert done.out.splitlines()[2:4] == [" 3  against the bass", " 4  against the tenor"]
