"""A rule set is a table that a user may copy and change: what it says is in force, and a slip in it is answered in its line."""

from __future__ import annotations

import pytest

from trainer.rules.declare import Rule
from trainer.rules.registry import all_rules
from trainer.rules.ruleset import SHIPPED, RuleSet, TableError, parse, shipped, shipped_text

RULES = all_rules()
TABLE = """\
# a remark of mine
sixth-leap                F A S          ; whoever wants them
sixth-leap:minor-down     - - F

   # another
leap-recovery             A A A   from=6
repeated-note             F A -   most=2 ; and why
susp-prep                 F F F          ; ends ; with two
"""


def mine(text: str = TABLE) -> RuleSet:
    return parse(text, "mine", RULES)


def rule(name: str) -> Rule:
    return RULES[name]


def test_a_table_is_read_line_by_line() -> None:
    found = mine()
    assert found.name == "mine"
    assert list(found.rows) == ["sixth-leap", "sixth-leap:minor-down", "leap-recovery", "repeated-note", "susp-prep"]
    assert found.rows["sixth-leap"].strictness == ("F", "A", "S")
    assert found.rows["sixth-leap"].why == "whoever wants them"
    assert found.rows["repeated-note"].why == "and why"
    assert found.rows["susp-prep"].why == "ends ; with two"
    assert found.rows["leap-recovery"].parameters == {"from": "6"}


@pytest.mark.parametrize(("parts", "column"), [(1, "F"), (2, "F"), (3, "A"), (4, "S"), (8, "S")])
def test_strictness_goes_by_parts(parts: int, column: str) -> None:
    assert mine().strictness("sixth-leap", "", parts) == column


def test_a_case_without_a_line_is_as_its_rule_and_a_rule_without_one_is_not_asked() -> None:
    found = mine()
    assert found.strictness("sixth-leap", "minor-down", 4) == "F"
    assert found.strictness("sixth-leap", "minor-down", 2) == "-"
    assert found.strictness("sixth-leap", "minor-down-turned", 2) == "F"
    assert found.strictness("battuta", "", 2) == "-"


def test_rules_that_can_give_a_finding_are_asked() -> None:
    found = mine()
    assert found.asked(2) == {"sixth-leap", "leap-recovery", "repeated-note", "susp-prep"}
    assert found.asked(4) == {"sixth-leap", "leap-recovery", "susp-prep"}
    assert mine("sixth-leap - - -\nsixth-leap:minor-down - F -").asked(3) == {"sixth-leap"}
    assert mine("sixth-leap - - -\nsixth-leap:minor-down - F -").asked(1) == set()


def test_parameters_are_the_rules_own_where_the_set_says_nothing() -> None:
    found = mine()
    assert found.settings(rule("leap-recovery")).number("from") == 6
    assert found.settings(rule("repeated-note")).number("most") == 2
    assert found.settings(rule("range-tenth")).number("most") == 10
    assert shipped("tonal").settings(rule("leap-recovery")).number("from") == int(
        rule("leap-recovery").parameters["from"]
    )


def test_some_rules_of_a_set_can_be_asked_alone() -> None:
    found = mine().only("sixth-leap", "susp-prep")
    assert set(found.rows) == {"sixth-leap", "sixth-leap:minor-down", "susp-prep"}
    assert found.name == "mine"


@pytest.mark.parametrize(
    ("text", "line", "what", "do_next"),
    [
        ("sixth-leap F F F\nsixt-leap F F F", 2, "there is no rule 'sixt-leap'", "perhaps sixth-leap"),
        ("qqq F F F", 1, "there is no rule 'qqq'", "the listing shows them all"),
        ("sixth-leap:minor F F F", 1, "sixth-leap has no case 'minor'", "its cases: minor-down-turned, minor-down"),
        ("battuta:outer F F F", 1, "battuta has no case 'outer'", "its cases: none"),
        ("# x\n\nbattuta F F F\nbattuta A A A", 4, "battuta stands here a second time", "keep one of the two lines"),
        ("battuta F F", 1, "battuta needs three grades", "as in F F A"),
        ("battuta F F B", 1, "battuta needs three grades", "as in F F A"),
        ("battuta F F F loud=1", 1, "battuta has no parameter 'loud=1'", "its parameters: none"),
        ("range-tenth F F F most", 1, "range-tenth has no parameter 'most'", "its parameters: most"),
        ("range-tenth F F F most=many", 1, "most of range-tenth is a whole number, not 'many'", "as in most=3"),
        ("spacing-upper F F F far=1", 1, "has no parameter 'far=1'", "most, chords, two-parts, two-parts-never"),
    ],
)
def test_a_slip_is_told_with_its_line_and_what_to_do(text: str, line: int, what: str, do_next: str) -> None:
    with pytest.raises(TableError) as caught:
        mine(text)
    assert caught.value.line == line
    assert what in caught.value.what
    assert do_next in caught.value.do_next
    assert f"line {line}: " in str(caught.value)


def test_a_parameter_in_words_takes_words_and_a_number_may_be_below_nought() -> None:
    assert mine("seventh-prep F F F ways=held").settings(rule("seventh-prep")).words("ways") == ("held",)
    assert mine("range-tenth F F F most=-1").settings(rule("range-tenth")).number("most") == -1


def test_a_copy_of_a_shipped_table_is_that_set() -> None:
    for name in SHIPPED:
        copy = parse(shipped_text(name), name, RULES)
        assert copy.rows == shipped(name).rows
    with pytest.raises(KeyError):
        shipped("mine")
