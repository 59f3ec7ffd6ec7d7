"""``heldline singable --fit``: weights from the takes kept here, beside those of paper."""

from __future__ import annotations

from fractions import Fraction

import pytest
from heldline_command import heldline
from kept_takes import NOBODY, keep

from trainer.library import resolve
from trainer.log.store import Store
from trainer.log.weights import read_weights, write_weights
from trainer.places import places
from trainer.practice.signs import Sign
from trainer.singable.weights import LEAST, MOST, PAPER, Weights

TITLES = ("1", "2", "4", "6")


def kept(takes: int, singer: str) -> None:
    """Takes of several tenor lines: one who slips at every leap of a fourth or more, or one who slips nowhere."""
    scores = [resolve(title) for title in TITLES]
    places().takes.parent.mkdir(parents=True, exist_ok=True)
    with Store(places().takes) as store:
        for number in range(takes):
            score = scores[number % len(scores)]
            line = len(score.lines) - 2
            notes = score.lines[line].notes
            wide = [k for k in range(1, len(notes)) if abs(notes[k].pitch.midi - notes[k - 1].pitch.midi) >= 5]
            faults = dict.fromkeys(wide, Sign.OFF) if singer == "leaps" else {}
            keep(store, score, line, f"2026-11-{number // 4 + 1:02d}T10:00:{number:02d}Z", faults)


def test_too_few_takes_say_so_and_change_nothing() -> None:
    assert heldline("singable", "--fit").status == 2
    kept(1, "nowhere")
    assert "1 take with 0 failed bars says too little yet" in heldline("singable", "--fit").err
    kept(2, "leaps")
    done = heldline("singable", "--fit")
    assert done.status == 2
    assert "3 takes" in done.err
    assert "10 takes" in done.err
    assert read_weights(places().weights) == PAPER


def test_who_slips_at_leaps_has_leaps_weighed_more_and_both_grades_are_told() -> None:
    kept(12, "leaps")
    assert "heldline singable --fit" in heldline("singable", "1").out
    before = heldline("singable", "1", "--voice", "tenor", "--json").table["voices"]["tenor"]
    done = heldline("singable", "--fit")
    assert done.status == 0
    assert "fitted to 12 takes" in done.out
    assert "leaps of a fourth or more (x" in " ".join(done.out.split())
    dangers = dict(read_weights(places().weights).dangers)
    assert dangers["leap"] == max(dangers.values())
    assert dangers["leap"] > 2
    assert dangers["pull"] < Fraction(3, 4)
    after = heldline("singable", "1", "--voice", "tenor", "--json").table["voices"]["tenor"]
    assert before["by_takes"] is None
    assert {key: after[key] for key in ("grade", "mean_points", "worst", "remarks")} == {
        key: before[key] for key in ("grade", "mean_points", "worst", "remarks")
    }
    assert after["by_takes"]["takes"] == 12
    on_paper, by_takes = (
        next(one["weight"] for one in told["worst"] if one["bar"] == 6) for told in (before, after["by_takes"])
    )
    assert by_takes > on_paper  # the fall of a fourth
    assert (6, "F#3") in [(one["bar"], one["note"]) for one in after["dangers"]]
    assert (6, "F#3") not in [(one["bar"], one["note"]) for one in before["dangers"]]
    told = " ".join(heldline("singable", "1", "--voice", "tenor").out.split())
    assert "By the 12 takes that weights were fitted to: " in told
    assert heldline("singable", "--fit", "paper").status == 0
    assert heldline("singable", "1", "--voice", "tenor", "--json").table["voices"]["tenor"] == before


def test_clean_takes_are_no_reason_to_weigh_otherwise() -> None:
    kept(10, "nowhere")
    assert heldline("singable", "--fit").status == 2


def test_a_damaged_file_of_weights_is_paper_and_wild_ones_are_bounded() -> None:
    path = places().weights
    write_weights(path, Weights((("leap", Fraction(2)),), (("rub", Fraction(3)),), 20, 30))
    assert read_weights(path) == Weights((("leap", Fraction(2)),), (("rub", Fraction(3)),), 20, 30)
    path.write_text('{"takes": 20, "failed_bars": 30, "dangers": {"rub": 99999, "leap": -5, "x": "y"}}')
    assert read_weights(path).dangers == (("leap", LEAST), ("rub", MOST))
    for damaged in ("{", "[]", '{"takes": "many"}', '{"takes": -1, "failed_bars": 3}'):
        path.write_text(damaged)
        assert read_weights(path) == PAPER


@pytest.mark.parametrize("words", [(), ("--fit", "people")])
def test_what_cannot_be_is_answered_in_a_sentence(words: tuple[str, ...]) -> None:
    done = heldline("singable", *words)
    assert done.status == 2
    assert done.out == ""


def test_a_title_behind_fit_is_told_that_it_comes_before() -> None:
    assert "SCORE comes before --fit" in heldline("singable", "--fit", "Ferry Bell at Low Water").err


def test_takes_alone_say_nothing_of_who_is_followed() -> None:
    places().takes.parent.mkdir(parents=True, exist_ok=True)
    with Store(places().takes) as store:
        score = resolve("1")
        for number in range(10):
            keep(store, score, 2, f"2026-11-01T10:00:{number:02d}Z", {8: Sign.OFF, 5: Sign.OFF}, beside=NOBODY)
    assert heldline("singable", "--fit").status == 0
    fitted = read_weights(places().weights)
    assert dict(fitted.dangers).get("parting", 1) == 1
    assert dict(fitted.difficulties)


def test_the_look_through_marks_by_the_weights_that_are_kept() -> None:
    from trainer.cli import _live
    from trainer.cli._parser import parse
    from trainer.score.naming import Names
    from trainer.ui.reading import steps

    def marked() -> list[int]:
        wish = _live.wish_of(parse(["sing", "1", "--voice", "tenor"]))
        found = steps(wish.score, wish.line_index, Names("degrees"), wish.weights)
        return [step.bar for step in found if step.marked]

    assert marked() == [9, 10]
    write_weights(places().weights, Weights((), (("leap", MOST), ("parted", LEAST)), 20, 30))
    assert marked() == [6, 9]
