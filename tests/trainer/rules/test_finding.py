"""Of rules that tell one event the better one speaks; findings have bars, beats and notes and follow the music by gravity."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from written import score

from trainer.rules.checking import check, check_piece
from trainer.rules.declare import Fault, Rule, Settings
from trainer.rules.finding import Graded, as_finding, one_an_event, ranked
from trainer.rules.piece import Piece
from trainer.rules.registry import all_rules
from trainer.rules.ruleset import Row, RuleSet, shipped
from trainer.rules.texture import Texture

TEXTURE = Texture(score("A4 G F E | D C B A | G A B C // D4 | E | F // D4 | D | D"))
BAR = 4 * TEXTURE.ticks


def nothing(piece: Piece, settings: Settings) -> list[Fault]:
    return []


def rule(name: str, *yields_to: str) -> Rule:
    return Rule(name, "A sentence.", "advice", "from memory", nothing, yields_to=yields_to)


def graded(
    name: str, *yields_to: str, at: int = 0, to: int | None = None, voices: tuple[int, ...] = (0,), grade: str = "F"
) -> Graded:
    fault = Fault(at, at if to is None else to, (), "is wrong", whose=voices)
    return Graded(rule(name, *yields_to), fault, grade)


def kept(*all_of_them: Graded) -> list[str]:
    return [one.rule.id for one in one_an_event(list(all_of_them), TEXTURE)]


def test_of_two_that_tell_one_event_the_one_that_is_yielded_to_is_kept() -> None:
    assert kept(graded("hidden", "plain"), graded("plain")) == ["plain"]
    assert kept(graded("plain"), graded("hidden", "plain")) == ["plain"]


def test_rules_that_do_not_know_of_each_other_are_both_kept() -> None:
    assert kept(graded("one"), graded("other")) == ["one", "other"]
    assert kept(graded("one", "third"), graded("other")) == ["one", "other"]


@pytest.mark.parametrize(
    ("mine", "theirs", "left"),
    [
        ("F", "A", ["hidden"]),  # the graver stays, though it would yield
        ("A", "F", ["plain"]),
        ("A", "A", ["plain"]),
        ("A", "S", ["hidden"]),
        ("S", "S", ["plain"]),
    ],
)
def test_the_graver_stays(mine: str, theirs: str, left: list[str]) -> None:
    assert kept(graded("hidden", "plain", grade=mine), graded("plain", grade=theirs)) == left


def test_one_event_is_of_the_same_voices_or_of_some_of_them() -> None:
    assert kept(graded("hidden", "plain", voices=(0, 1)), graded("plain", voices=(0,))) == ["plain"]
    assert kept(graded("hidden", "plain", voices=(1,)), graded("plain", voices=(0, 1))) == ["plain"]
    assert kept(graded("hidden", "plain", voices=(0, 1)), graded("plain", voices=(1, 2))) == ["hidden", "plain"]
    assert kept(graded("hidden", "plain", voices=(0,)), graded("plain", voices=(1,))) == ["hidden", "plain"]


@pytest.mark.parametrize(
    ("at", "to", "same"),
    [(0, 3, False), (0, 4, True), (4, 8, True), (5, 6, True), (8, 9, True), (9, 9, False), (0, 9, True)],
)
def test_one_event_has_a_moment_in_common(at: int, to: int, same: bool) -> None:
    quarter = TEXTURE.ticks
    first = graded("hidden", "plain", at=4 * quarter, to=8 * quarter)
    other = graded("plain", at=at * quarter, to=to * quarter)
    assert kept(first, other) == (["plain"] if same else ["hidden", "plain"])


def test_an_event_over_three_bars_meets_another_in_its_middle() -> None:
    long = graded("hidden", "plain", at=0, to=2 * BAR)
    assert kept(long, graded("plain", at=BAR)) == ["plain"]
    assert kept(long, graded("plain", at=2 * BAR)) == ["plain"]
    assert kept(graded("hidden", "plain", at=BAR), graded("plain", at=0, to=2 * BAR)) == ["plain"]


def test_several_of_one_rule_are_each_kept() -> None:
    assert kept(graded("plain"), graded("plain", at=BAR), graded("hidden", "plain", at=2 * BAR)) == [
        "plain",
        "plain",
        "hidden",
    ]


def test_findings_follow_gravity_then_place_then_voices() -> None:
    unsorted = [
        graded("a", grade="S"),
        graded("b", at=BAR),
        graded("c", grade="A", at=BAR),
        graded("d", at=0, to=BAR),
        graded("e", grade="A"),
        graded("f", at=BAR, voices=(1,)),
        graded("a", at=BAR),
    ]
    assert [one.rule.id for one in ranked(unsorted)] == ["d", "a", "b", "f", "e", "c", "a"]


def test_a_finding_has_bars_beats_and_notes() -> None:
    first, second = TEXTURE.lines[0][1], TEXTURE.lines[0][4]
    fault = Fault(first.on, second.on, (first, second), "is wrong", "outer")
    found = as_finding(Graded(rule("plain"), fault, "A"), TEXTURE)
    assert (found.rule, found.case, found.strictness) == ("plain", "outer", "avoid")
    assert (found.bar, found.beat, found.to_bar, found.to_beat) == (1, F(2), 2, F(1))
    assert (found.voices, found.notes) == ((0,), ("G4", "D4"))
    assert (found.says, found.advice, found.source) == ("is wrong", "advice", "from memory")
    assert (found.at_tick, found.to_tick) == (first.on, second.on)
    better = as_finding(Graded(rule("plain"), fault._replace(advice="do this here"), "F"), TEXTURE)
    assert better.advice == "do this here"


def test_the_voices_of_a_fault_are_those_of_its_notes_unless_it_says_whose_it_is() -> None:
    upper, lower = TEXTURE.lines[0][0], TEXTURE.lines[2][0]
    assert Fault(0, 0, (lower, upper, lower), "").voices == (0, 2)
    assert Fault(0, 0, (lower, upper), "", whose=(1,)).voices == (1,)


def test_settings_are_numbers_and_words() -> None:
    told = Settings({"most": "12", "ways": "held,step", "close": "none"})
    assert told.number("most") == 12
    assert told.words("ways") == ("held", "step")
    assert told.words("close") == ()
    with pytest.raises(KeyError):
        told.number("least")


# the check as a whole

LEAPS = "species: 1; mode: D dorian; cantus: bass; sing: soprano :: A4 | C5 | B | A | C# | D // D4 | A | G | F | E | D"


def grades(
    text: str, table: dict[str, tuple[str, str, str]], species: str | None = None
) -> list[tuple[str, str, tuple[int, ...]]]:
    rows = {key: Row(grade, {}, "") for key, grade in table.items()}
    report = check(score(text), RuleSet("mine", rows), species)
    return [(one.rule, one.strictness, one.voices) for one in report.findings]


def test_what_the_cantus_does_by_itself_is_a_matter_of_style() -> None:
    leaping = LEAPS.replace("D4 | A | G", "D4 | B4 | G")
    assert grades(leaping, {"sixth-leap": ("F", "F", "F")}) == [("sixth-leap", "style", (1,))]
    upper = LEAPS.replace("A4 | C5", "C5 | E4")
    assert grades(upper, {"sixth-leap": ("F", "F", "F")}) == [("sixth-leap", "forbidden", (0,))]


def test_a_rule_that_is_off_gives_nothing_and_a_case_may_be_off_alone() -> None:
    down = LEAPS.replace("A4 | C5 | B", "C5 | E4 | F")
    assert grades(down, {"sixth-leap": ("-", "F", "F")}) == []
    assert grades(down, {"sixth-leap": ("F", "-", "-"), "sixth-leap:minor-down-turned": ("-", "F", "F")}) == []
    assert grades(down, {"sixth-leap": ("-", "-", "-"), "sixth-leap:minor-down-turned": ("A", "-", "-")}) == [
        ("sixth-leap", "avoid", (0,))
    ]


def test_a_rule_of_species_is_not_asked_of_a_free_score() -> None:
    wide = "E4 | C5 | E4 | G // C4 | C | C | C"
    assert grades(wide, {"sixth-leap": ("F", "F", "F")}, "free") == []
    assert [rule for rule, *_ in grades("A4 | B // D4 | E", {"parallel-fifth": ("F", "F", "F")}, "free")] == [
        "parallel-fifth"
    ]


def test_a_report_says_what_was_checked_and_by_which_set() -> None:
    piece = Piece(score(LEAPS))
    report = check_piece(piece, shipped("tonal"))
    assert (report.title, report.rules, report.parts, report.species) == ("An example", "tonal", 2, ("1", "cantus"))
    clean = check_piece(piece, shipped("tonal").only("parallel-fifth"))
    assert clean.correct
    assert clean.findings == ()


def test_no_two_files_declare_one_rule() -> None:
    rules = all_rules()
    assert len(rules) > 80
    assert all(key == rule.id for key, rule in rules.items())
