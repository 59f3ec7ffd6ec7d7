"""``heldline singable`` as scripts and people use it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from heldline_command import heldline, heldline_child

HIGH = """\
title: Steep Stair
meter: 4/4
tempo: 60
mode: D dorian

soprano | D5 | F | E | D |
alto    | A4 | A | G | A |
tenor   | F4 | D | C | F |
bass    | D3 | D | C | D |
"""
TRITONE = HIGH.replace("tenor   | F4 | D | C | F |", "tenor   | F3 G A B | A G | C | A |")


@pytest.fixture
def stair(tmp_path: Path) -> Path:
    path = tmp_path / "stair.drill"
    path.write_text(HIGH)
    return path


def test_every_voice_is_graded_with_its_outermost_notes_and_remarks(stair: Path) -> None:
    done = heldline("singable", stair, "--json")
    assert done.status == 0
    table = done.table
    assert (table["schema"], table["title"]) == ("heldline.singable/1", "Steep Stair")
    assert list(table["voices"]) == ["soprano", "alto", "tenor", "bass"]
    for number, voice in enumerate(table["voices"].values(), start=1):
        assert voice["voice_number"] == number
        assert voice["grade"] in ("easy", "medium", "hard")
        for remark in voice["remarks"]:
            assert set(remark) >= {"bar", "beat", "kind", "says", "weight"}
            assert 1 <= remark["bar"] <= 4
    assert (table["voices"]["soprano"]["lowest"], table["voices"]["soprano"]["highest"]) == ("D5", "F5")


def test_a_tritone_put_into_the_tenor_is_a_new_remark_with_its_bar_and_only_there(stair: Path) -> None:
    before = heldline("singable", stair, "--json").table["voices"]
    stair.write_text(TRITONE)
    after = heldline("singable", stair, "--json").table["voices"]
    new = [(one["bar"], one["kind"]) for one in after["tenor"]["remarks"]]
    assert (1, "tritone-outline") in new
    assert not any(one["kind"] == "tritone-outline" for voice in before.values() for one in voice["remarks"])
    assert not any(one["kind"] == "tritone-outline" for one in after["alto"]["remarks"])


def test_the_worst_places_come_first_with_what_would_help() -> None:
    done = heldline("singable", 1, "--voice", "tenor")
    assert done.status == 0
    lines = done.out.splitlines()
    assert lines[0] == "Ferry Bell at Low Water: how hard each line is to sing"
    head = next(index for index, line in enumerate(lines) if line.startswith("tenor: "))
    assert lines[head + 1].startswith("  bar 11 beat 1: ")
    assert any(line.startswith("    Help: ") for line in lines)
    assert "soprano:" not in done.out


def test_a_singers_own_compass_and_tempo_change_what_is_told(stair: Path) -> None:
    usual = heldline("singable", stair, "--voice", "soprano", "--json").table
    low = heldline("singable", stair, "--voice", "soprano", "--compass", "C4-E5", "--tempo", "120", "--json").table
    kinds = [{one["kind"] for one in table["voices"]["soprano"]["remarks"]} for table in (usual, low)]
    assert "outside-compass" not in kinds[0]
    assert "outside-compass" in kinds[1]
    assert (usual["tempo_qpm"], low["tempo_qpm"]) == (60, 120)
    assert low["voices"]["soprano"]["compass"] == {"voice": "soprano", "lowest": "C4", "highest": "E5"}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--compass", "C4-E5"), "--voice"),
        (("--voice", "soprano", "--compass", "high"), "C3-E4"),
        (("--voice", "soprano", "--compass", "E5-C4"), "lowest note first"),
        (("--voice", "baritone"), "choose one of"),
        (("--tempo", "4"), "10 to 400"),
    ],
)
def test_what_cannot_be_is_answered_in_a_sentence(stair: Path, words: tuple[str, ...], says: str) -> None:
    done = heldline("singable", stair, *words)
    assert done.status == 2
    assert says in done.err
    assert done.out == ""


def test_two_runs_give_the_same_bytes_whatever_the_order_of_hashes(stair: Path) -> None:
    runs = [heldline_child("singable", stair, "--json", env={"PYTHONHASHSEED": seed}) for seed in ("1", "2")]
    assert runs[0].out == runs[1].out
    assert json.loads(runs[0].out)["voices"]


def test_light_remarks_stand_in_the_json_only() -> None:
    remarks = heldline("singable", 1, "--voice", "bass", "--json").table["voices"]["bass"]["remarks"]
    light = [one for one in remarks if one["kind"] == "leading-note-held"]
    assert [one["weight"] for one in light] == [0.5]
    also = heldline("singable", 7, "--voice", "alto").out.partition("  Also")[2]
    kinds = {
        one["says"]: one["weight"]
        for one in heldline("singable", 7, "--voice", "alto", "--json").table["voices"]["alto"]["remarks"]
    }
    told = [weight for says, weight in kinds.items() if says in " ".join(also.split())]
    assert told
    assert min(weight for weight in told if weight) >= 1


def test_where_a_slip_is_likely_is_told_beside_what_is_hard() -> None:
    table = heldline("singable", 1, "--voice", "tenor", "--json").table["voices"]["tenor"]
    assert [(one["bar"], one["note"]) for one in table["dangers"]] == [(9, "G#3"), (10, "F#3")]
    assert table["dangers"][0]["says"][0] == "you part from the alto"
    assert "Look out for a slip: bar 9 beat 1, you part from the alto; bar 10 beat 1, the way back" in " ".join(
        heldline("singable", 1, "--voice", "tenor").out.split()
    )


def test_todays_compass_is_that_of_the_warmup(stair: Path) -> None:
    done = heldline("singable", stair, "--voice", "soprano", "--compass", "today")
    assert done.status == 2
    assert "heldline warmup" in done.err
    assert heldline("warmup", "--compass", "C4-E5").status == 0
    told = heldline("singable", stair, "--voice", "soprano", "--compass", "today", "--json").table
    assert told["voices"]["soprano"]["compass"] == {"voice": "soprano", "lowest": "C4", "highest": "E5"}


def test_a_long_line_is_told_by_its_heaviest_places_and_how_many_more_there_are(tmp_path: Path) -> None:
    path = tmp_path / "sixths.drill"
    path.write_text(
        "title: Sixths\nkey: C major\n\nsoprano | " + "C5 | E4 | " * 15 + "C5 |\nbass | " + "C3 | C3 | " * 15 + "C3 |\n"
    )
    lines = heldline("singable", path, "--voice", "soprano").out.splitlines()
    also = lines[lines.index("  Also") + 1 :]
    assert sum(line.startswith("    bar ") for line in also) == 8
    rest = next(line for line in also if "lighter ones" in line)
    remarks = heldline("singable", path, "--voice", "soprano", "--json").table["voices"]["soprano"]["remarks"]
    told = {(one["bar"], one["beat"]) for one in remarks if one["weight"] >= 1 or one["kind"] == "long-phrase"}
    assert rest == f"    and {len(told) - 3 - 8} lighter ones; --json has all"


def test_no_remark_names_its_own_place_twice() -> None:
    for number in (1, 40):
        for line in heldline("singable", number).out.splitlines():
            place, _, says = line.strip().partition(": ")
            assert not place.startswith("bar ") or place not in says, line


def test_notes_are_called_as_the_reader_learnt_them_and_json_keeps_scientific_names() -> None:
    told = " ".join(heldline("singable", "Ferry Bell at Low Water", "--names", "german").out.split())
    assert "bass: easy, 0.55 points a note, Fis to H" in told
    assert "Ais is not in the signature; the leading note Ais is held for 4 s" in told
    assert "the tenor's Fis is nearer to your last note" in told
    assert "in C dorian instead of H dorian" in told
    plain, other = (
        heldline("singable", "Ferry Bell at Low Water", "--json", *more) for more in ((), ("--names", "german"))
    )
    assert plain.table == other.table
