"""``heldline check`` as scripts and people use it: verdicts, exit status, piles, lists, mends."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from heldline_command import heldline

CLEAN = """\
title: Low Bridge
meter: 4/4
species: 1
rules: strict16
mode: D dorian
cantus: bass
sing: soprano

soprano | A4 | A | G | A | B | C5 | C | B | D | C# | D |
bass    | D3 | F | E | D | G | F  | A | G | F | E  | D |
"""
FIFTHS = CLEAN.replace("| A4 | A | G |", "| A4 | A | B |").replace("Low Bridge", "High Bridge")
CHAIN = "title: Bricks\nmeter: 4/4\n\nsoprano | E5 | D |\nalto | C5 | B |\ntenor | G4 | G |\nbass | C4 | G3 |\n"


@pytest.fixture
def pile(tmp_path: Path) -> Path:
    folder = tmp_path / "evening"
    (folder / "late").mkdir(parents=True)
    (folder / "a.drill").write_text(CLEAN)
    (folder / "b.drill").write_text("soprano | H4 |\n")
    (folder / "late" / "c.drill").write_text(FIFTHS)
    (folder / "notes.pdf").write_text("not a score")
    return folder


def forbidden(table: dict[str, Any]) -> list[dict[str, Any]]:
    return [one for one in table["findings"] if one["strictness"] == "forbidden"]


def test_a_correct_exercise_is_called_so_under_the_rules_that_it_names(pile: Path) -> None:
    done = heldline("check", pile / "a.drill")
    assert done.status == 0
    assert done.out.startswith("Low Bridge: correct under strict16")
    assert "soprano species 1, bass cantus" in done.out


def test_of_several_scores_with_one_title_each_says_which_file_it_is(pile: Path) -> None:
    (pile / "late" / "d.drill").write_text(CLEAN)
    told = heldline("check", pile).out.splitlines()
    first = [told[k - 1] for k, line in enumerate(told) if line.startswith("Low Bridge: correct")]
    assert first == [str(pile / "a.drill"), str(pile / "late" / "d.drill")]
    assert heldline("check", pile / "a.drill").out.startswith("Low Bridge")


def test_notes_are_called_as_the_settings_say_on_the_screen_and_by_their_scientific_names_for_programs(
    tmp_path: Path,
) -> None:
    place = tmp_path / "b.drill"
    place.write_text("mode: B aeolian\nspecies: 1\ncantus: bass\n\nsoprano | D5 | B4 | Bb4 |\nbass | G3 | B3 | B3 |\n")
    before = heldline("check", place, "--json").table
    assert heldline("settings", "set", "names", "german").status == 0
    out = " ".join(heldline("check", place).out.split())
    assert "the lowest voice begins on g, not on H" in out  # a German B is B flat
    assert "h' to b' is a chromatic semitone down" in out
    assert "b' is not of H aeolian" in out
    assert heldline("check", place, "--json").table == before


def test_a_matter_of_style_says_whose_it_is(tmp_path: Path) -> None:
    twice = tmp_path / "twice.drill"
    twice.write_text("soprano | D5 | C5 | D5 | B4 |\nalto | G4 | E4 | G4 | G4 |\nbass | G3 | C3 | B3 | G3 |\n")
    args = ("check", twice, "--rules", "tonal")
    style = [one for one in heldline(*args, "--json").table["findings"] if one["rule"] == "single-climax"]
    assert {(one["strictness"], *one["voices"]) for one in style} == {("style", "1"), ("style", "2")}
    out = " ".join(heldline(*args).out.split())
    assert "is sung once. Soprano in bar 3; alto in bar 4 [single-climax]" in out


def test_a_fault_ends_with_one_and_names_rule_place_voices_notes_and_source(pile: Path) -> None:
    done = heldline("check", pile / "late" / "c.drill", "--json")
    assert done.status == 1
    table = done.table
    assert (table["schema"], table["title"], table["rules"]) == ("heldline.check/1", "High Bridge", "strict16")
    assert (table["parts"], table["correct"]) == (2, False)
    assert table["species"] == {"1": "1", "2": "cantus"}
    (fault,) = forbidden(table)
    assert (fault["rule"], fault["voices"]) == ("parallel-fifth", ["1", "2"])
    assert (fault["bar"], fault["beat"], fault["to_bar"], fault["to_beat"]) == (3, 1.0, 4, 1.0)
    assert fault["notes"] == ["B4", "E3", "A4", "D3"]
    assert fault["says"]
    assert fault["advice"]
    assert "Fux" in fault["source"]


def test_text_says_the_same_fault_in_words(pile: Path) -> None:
    done = heldline("check", pile / "late" / "c.drill")
    assert done.status == 1
    assert "High Bridge: not yet correct under strict16 (1 forbidden" in done.out
    said = " ".join(done.out.split())
    assert "bar 3 beat 1 to bar 4 beat 1, all voices: B4/E3 to A4/D3: parallel fifths [parallel-fifth]" in said


def test_a_pile_is_told_line_by_line_and_a_bad_file_does_not_stop_it(pile: Path) -> None:
    done = heldline("check", pile, "--json")
    lines = [json.loads(line) for line in done.out.splitlines()]
    assert done.status == 1
    assert [line["title"] for line in lines] == ["Low Bridge", None, "High Bridge"]
    assert lines[1]["error"]["what"]
    assert lines[1]["file"].endswith("b.drill")
    assert "b.drill" in done.err


def test_a_pile_without_faults_but_with_a_bad_file_ends_with_four(pile: Path) -> None:
    (pile / "late" / "c.drill").unlink()
    assert heldline("check", pile, "--json").status == 4
    assert heldline("check", pile / "b.drill").status == 4
    (pile / "b.drill").unlink()
    assert heldline("check", pile, "--json").status == 0


def test_species_free_leaves_what_concerns_any_voices(tmp_path: Path) -> None:
    place = tmp_path / "c.drill"
    place.write_text(CHAIN)
    free = heldline("check", place, "--species", "free", "--json").table
    assert set(free["species"].values()) == {"free"}
    assert "checked free" in heldline("check", place, "--species", "free").out
    place.write_text(CHAIN.replace("| C5 | B |", "| C5 | A |").replace("| C4 | G3 |", "| C4 | A3 |"))
    assert [one["rule"] for one in forbidden(heldline("check", place, "--species", "free", "--json").table)] == [
        "parallel-octave"
    ]


def test_a_mend_is_one_note_that_leaves_the_exercise_correct(pile: Path) -> None:
    place = pile / "late" / "c.drill"
    (fault,) = forbidden(heldline("check", place, "--mend", "--json").table)
    assert fault["mends"]
    for mend in fault["mends"]:
        assert mend["voice"] == "1"  # the cantus is left alone
        bar = mend["bar"] - 1
        rows = place.read_text().splitlines()
        cells = [cell.strip() for cell in rows[8].split("|")]
        cells[bar + 1] = mend["to"]
        # every other note keeps its octave
        heard = ["A4", "A4", "B4", "A4", "B4", "C5", "C5", "B4", "D5", "C#5", "D5"]
        heard[bar] = mend["to"]
        mended = pile / "mended.drill"
        mended.write_text("\n".join([*rows[:8], f"soprano | {' | '.join(heard)} |", *rows[9:]]) + "\n")
        assert heldline("check", mended, "--json").status == 0, mend
    assert "One note would do: soprano bar" in heldline("check", place, "--mend").out


def test_a_fault_that_no_single_note_mends_says_so(tmp_path: Path) -> None:
    place = tmp_path / "c.drill"
    place.write_text(
        "title: Two Faults\nmeter: 4/4\nspecies: 1\nrules: strict16\nmode: D dorian\ncantus: soprano\nsing: bass\n\n"
        "soprano | D5 | A4 | B | D5 |\nbass | D4 | D | E | D |\n"
    )
    table = heldline("check", place, "--mend", "--json").table
    parallel = next(one for one in forbidden(table) if one["rule"] == "parallel-fifth")
    told = heldline("check", place, "--mend").out
    assert all(mend["voice"] == "2" for mend in parallel["mends"])
    assert ("No single note mends it" in told) == any(not one["mends"] for one in forbidden(table))


def test_show_puts_figures_and_names_under_the_notes(tmp_path: Path) -> None:
    place = tmp_path / "c.drill"
    place.write_text(
        "title: Late Tide\nmeter: 4/4\nspecies: 4\nmode: D dorian\ncantus: bass\nsing: soprano\n\n"
        "soprano | . A4 | - G | - F# | G |\nbass | F3 | B2 | A | G |\n".replace("B2 | A | G", "B3 | A | G")
    )
    rows = heldline("check", place, "--show").out.splitlines()
    soprano = next(row for row in rows if row.startswith("soprano") and "A4" in row)
    figures = next(row for row in rows if row.startswith("figures"))
    assert "-(s)" in soprano
    assert "7" in figures.split()
    assert "bar 2 beat 1, soprano A4 (m7): suspension 7-6, resolved" in rows
    notes = json.loads(heldline("check", place, "--show", "--json").out)["notes"]
    (held,) = [note for note in notes if note["kind"].startswith("suspension") and note["bar"] == 2]
    assert (held["voice"], held["note"], held["over_lowest"], held["against"]) == ("1", "A4", "m7", {"2": "m7"})


def test_the_list_has_every_rule_with_its_strictness_in_each_set() -> None:
    table = heldline("check", "--list", "--json").table
    by_id = {one["id"]: one for one in table["rules"]}
    assert len(by_id) > 80
    for one in by_id.values():
        assert one["sentence"]
        assert set(one["strictness"]) == {"strict16", "conservatoire", "tonal"}
        assert set(one["strictness"].values()) <= {"forbidden", "avoid", "style", "not asked"}
    assert by_id["parallel-fifth"]["strictness"] == dict.fromkeys(("strict16", "conservatoire", "tonal"), "forbidden")
    assert by_id["single-climax"]["strictness"]["tonal"] == "style"
    assert "parallel-fifth" in heldline("check", "--list").out


def test_a_copied_table_with_a_changed_line_rules_and_its_name_is_told(pile: Path) -> None:
    from trainer.rules.ruleset import shipped_text

    table = pile.parent / "mine.rules"
    text = shipped_text("strict16")
    line = next(row for row in text.splitlines() if row.startswith("parallel-fifth "))
    table.write_text(text.replace(line, "parallel-fifth A A A ; our choir does not mind"))
    done = heldline("check", pile / "late" / "c.drill", "--rules", table)
    assert done.status == 0
    assert "correct under mine" in done.out


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        ((), 2, "SCORE is missing"),
        (("Low Bridge of Nowhere",), 4, "no exercise"),
        (("Kettle before Dawn", "--rules", "strict17"), 2, "did you mean strict16"),
        (("Kettle before Dawn", "--rules", "gone.rules"), 2, "cannot be read"),
        (("Kettle before Dawn", "--species", "6"), 2, "choose one of"),
    ],
)
def test_what_cannot_be_is_told_in_three_parts(words: tuple[str, ...], status: int, said: str) -> None:
    done = heldline("check", *words)
    assert (done.status, done.out) == (status, "")
    assert said in done.err


def test_a_table_with_a_slip_names_the_line_and_the_likely_rule(tmp_path: Path) -> None:
    table = tmp_path / "mine.rules"
    table.write_text("# mine\nparalel-fifth F F F\n")
    done = heldline("check", "Kettle before Dawn", "--rules", table)
    assert done.status == 2
    assert "line 2" in done.err
    assert "parallel-fifth" in done.err


def test_the_library_is_correct_under_the_rules_that_each_drill_names() -> None:
    from trainer.library import folder

    done = heldline("check", folder(), "--json")
    lines = [json.loads(line) for line in done.out.splitlines()]
    assert len(lines) > 10
    assert [line["title"] for line in lines if not line["correct"]] == []
    assert done.status == 0
