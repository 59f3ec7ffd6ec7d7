"""Whatever was sung of whatever score has an outcome, and its figures agree with its take."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st
from kept_takes import EVERYBODY, judged
from strategies import scores

from trainer.library import resolve
from trainer.log.attempt import Attempt
from trainer.practice.settings import Settings
from trainer.practice.signs import Sign
from trainer.practice.take import ClashVerdict, Performance
from trainer.score.change import cut
from trainer.score.model import Score
from trainer.takes.outcomes import music, outcomes

SIGNS = tuple(sign for sign in Sign if sign is not Sign.REST)


def attempt_of(score: Score, line: int) -> Attempt:
    return Attempt("0" * 32, "2026-03-01T19:00:00Z", "0.1.0", "sung", score, (line,), Settings(), beside=EVERYBODY)


@settings(deadline=None, max_examples=60)
@given(score=scores(), data=st.data())
def test_any_take_of_any_score_has_an_outcome(score: Score, data: st.DataObject) -> None:
    line = data.draw(st.sampled_from([k for k, one in enumerate(score.lines) if one.notes]))
    signs = data.draw(
        st.dictionaries(st.integers(0, len(score.lines[line].notes) - 1), st.sampled_from(SIGNS), max_size=6)
    )
    take = judged(score, line, signs)
    (found,) = outcomes(attempt_of(score, line), Performance((take,)))
    counts = take.result()
    assert (found.notes, found.judged, found.held) == (counts["notes"], counts["judged"], counts["held"])
    assert sum(bar.judged for bar in found.bars) == found.judged
    assert sum(bar.held for bar in found.bars) == found.held
    assert all(0 <= one.failed <= one.tried and one.tried > 0 for one in found.tried)
    kind = music(score)
    assert kind.parts == len(score.lines)
    assert kind.species in ("", "1", "2", "3", "4", "5", "combined")


def test_the_kind_is_what_the_file_says_or_what_the_rhythm_shows() -> None:
    from dataclasses import replace

    kettle = resolve("Kettle before Dawn")
    assert (music(kettle).species, music(kettle).mode) == ("4", "phrygian")
    unsaid = replace(kettle, facts=tuple(fact for fact in kettle.facts if fact[0] not in ("species", "cantus", "sing")))
    assert music(unsaid).species == "4"
    assert music(replace(kettle, facts=())).mode == "phrygian"


def test_the_mode_and_the_degrees_of_a_file_that_names_none_are_those_that_check_finds() -> None:
    from dataclasses import replace

    from trainer.rules.piece import Piece
    from trainer.score.model import Key

    ferry = resolve("Ferry Bell at Low Water")
    for said in ("", "major"):  # programs write 'major' beside any signature
        unsaid = replace(ferry, facts=(), keys=((Fraction(0), Key(3, said)),))
        found = Piece(unsaid).mode
        assert found is not None
        assert (found.final, found.name, music(unsaid).mode) == ("B", "dorian", "dorian")
        (told,) = outcomes(attempt_of(unsaid, 2), Performance((judged(unsaid, 2, {0: Sign.OFF}),)))
        failed = {one.spot for one in told.tried if one.failed}
        assert failed == {"degree 5"}  # F# in B dorian


def test_bars_of_a_file_that_names_no_mode_show_no_degrees() -> None:
    from dataclasses import replace

    part = cut(replace(resolve("1"), facts=()), 3, 4)
    (found,) = outcomes(attempt_of(part, 2), Performance((judged(part, 2),)))
    assert not [one.spot for one in found.tried if one.spot.startswith("degree")]
    assert music(part).mode == ""


def test_an_excerpt_is_told_as_one() -> None:
    part = cut(resolve("1"), 3, 4)
    (found,) = outcomes(attempt_of(part, 2), Performance((judged(part, 2),)))
    assert found.part == "excerpt"
    assert [bar.bar for bar in found.bars] == [1, 2]


def test_a_clash_fails_by_any_of_its_three_events() -> None:
    from dataclasses import replace

    score = resolve("Kettle before Dawn")
    take = judged(score, 1)
    clash = ClashVerdict(4, Fraction(1), "4", "7-6", Sign.HELD, Sign.HELD, Sign.HELD)
    clashes = (clash, replace(clash, held=Sign.LEFT_EARLY), replace(clash, resolved=Sign.UNSURE))
    (found,) = outcomes(attempt_of(score, 1), Performance((replace(take, clashes=clashes),)))
    assert {one.spot: (one.tried, one.failed) for one in found.tried}["7-6 clashes"] == (2, 1)
