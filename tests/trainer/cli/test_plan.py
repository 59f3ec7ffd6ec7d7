"""The plan, the tally, the greeting's next line and the map of bars, as they are printed."""

from __future__ import annotations

import json
import shlex
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from kept_takes import keep

from trainer.cli import main
from trainer.library import resolve
from trainer.log.store import Store
from trainer.places import places
from trainer.practice.signs import Sign
from trainer.score.change import cut
from trainer.score.model import Score
from trainer.score.moved import moved

TENOR = 2
Capture = pytest.CaptureFixture[str]


def ago(**what: float) -> str:
    return (datetime.now(UTC) - timedelta(**what)).strftime("%Y-%m-%dT%H:%M:%SZ")


def kept(*makes: Callable[[Store], int]) -> None:
    with Store(places().takes) as store:
        for make in makes:
            make(store)


def table(capsys: Capture, *words: str) -> dict[str, object]:
    assert main([*words, "--json"]) == 0
    told = capsys.readouterr()
    found: dict[str, object] = json.loads(told.out)
    return found


def test_without_any_take_there_is_something_new_to_sing_and_nothing_is_made(capsys: Capture, own_home: Path) -> None:
    assert main(["plan"]) == 0
    assert "heldline sing --fresh" in capsys.readouterr().out
    assert main(["tally"]) == 0
    assert "No exercise is counted yet" in capsys.readouterr().out
    assert not own_home.exists()


def test_yesterdays_weak_bars_come_first_as_a_command_to_type(capsys: Capture) -> None:
    score = resolve("Ferry Bell at Low Water")
    kept(lambda store: keep(store, score, TENOR, ago(days=1), {8: Sign.PULLED, 9: Sign.PULLED}))
    assert main(["plan"]) == 0
    told = capsys.readouterr().out
    assert "1. Ferry Bell at Low Water, tenor: bars 8 to 9, where it failed last time." in told
    assert 'heldline drill "Ferry Bell at Low Water" --voice tenor --bars 9' in told
    assert "see a laryngologist" in told
    steps = table(capsys, "plan")["steps"]
    assert [step["kind"] for step in steps] == ["weak bars", "weak bars", "due"]  # type: ignore[attr-defined]


def test_bars_of_a_file_that_prints_other_numbers_are_told_with_both(capsys: Capture) -> None:
    score = resolve("Ferry Bell at Low Water")
    score = replace(score, printed_bars=tuple(str(bar.number + 20) for bar in score.bars().bars))
    kept(lambda store: keep(store, score, TENOR, ago(days=1), {8: Sign.PULLED, 9: Sign.PULLED}))
    assert main(["plan"]) == 0
    told = capsys.readouterr().out
    assert "tenor: bars 8 to 9 (printed 28 to 29), where it" in told
    assert " --bars 9\n" in told
    weak, *_ = table(capsys, "plan")["steps"]  # type: ignore[misc]
    assert (weak["bars"], weak["printed_bars"]) == ([8, 9], ["28", "29"])


def test_an_exercise_of_ones_own_is_called_for_by_its_take(capsys: Capture, score: Path) -> None:
    from trainer.formats import read_path

    mine = read_path(score)
    kept(lambda store: keep(store, mine, 0, ago(days=2), {1: Sign.OFF}))
    assert main(["plan"]) == 0
    assert "heldline drill --again 1 --voice soprano --bars 2" in capsys.readouterr().out


def test_the_greeting_says_what_to_do_next_in_one_line(capsys: Capture) -> None:
    score = resolve("Ferry Bell at Low Water")
    kept(lambda store: keep(store, score, TENOR, ago(days=3)))
    assert main([]) == 0
    told = capsys.readouterr().out.splitlines()
    assert "Next: Ferry Bell at Low Water, tenor, was due 2 days ago:" in told
    assert '  heldline sing "Ferry Bell at Low Water" --voice tenor' in told


def test_a_log_of_a_newer_version_is_one_clear_sentence_in_the_greeting(capsys: Capture) -> None:
    import sqlite3

    kept(lambda store: keep(store, resolve("1"), TENOR, ago(days=3)))
    raw = sqlite3.connect(places().takes)
    raw.execute("PRAGMA user_version = 99")
    raw.close()
    before = places().takes.read_bytes()
    assert main([]) == 0
    assert "written by a newer heldline and is left as it is" in capsys.readouterr().out
    assert places().takes.read_bytes() == before


def test_hard_spots_are_offered_to_the_composer_who_makes_an_exercise_of_them(capsys: Capture, tmp_path: Path) -> None:
    score = resolve("Ferry Bell at Low Water")
    kept(*[lambda store: keep(store, score, TENOR, ago(days=1), {5: Sign.OFF})] * 4)
    assert str(table(capsys, "plan")["weak"]).startswith("fourths down x")
    assert main(["plan"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "heldline compose --parts 4 --species 3 --cantus bass --line tenor --for" in told
    command = str(table(capsys, "plan")["compose"])
    assert main([*shlex.split(command)[1:-1], str(tmp_path / "practice.drill")]) == 0
    assert resolve(str(tmp_path / "practice.drill")).fact("sing") == "tenor"


def test_the_composer_is_asked_for_an_exercise_within_todays_voice(capsys: Capture, tmp_path: Path) -> None:
    score = resolve("Ferry Bell at Low Water")
    kept(*[lambda store: keep(store, score, TENOR, ago(days=1), {5: Sign.OFF})] * 4)
    assert main(["warmup", "--compass", "C3-F4"]) == 0
    capsys.readouterr()
    command = str(table(capsys, "plan")["compose"])
    assert ', compass C3-F4" -o' in command
    assert main([*shlex.split(command)[1:-1], str(tmp_path / "practice.drill")]) == 0
    made = resolve(str(tmp_path / "practice.drill"))
    pitches = [note.pitch.midi for note in made.lines[2].notes]
    assert min(pitches) >= 48
    assert max(pitches) <= 65


def test_takes_dated_ahead_are_told(capsys: Capture) -> None:
    kept(lambda store: keep(store, resolve("1"), TENOR, ago(days=-9)))
    assert main(["plan"]) == 0
    assert "1 take is dated after today: the clock was set back." in capsys.readouterr().out


def test_the_tally_counts_lines_and_whole_exercises_against_the_custom(capsys: Capture, tmp_path: Path) -> None:
    score = resolve("Ferry Bell at Low Water")
    kept(
        *[lambda store, line=line: keep(store, score, line, ago(days=1)) for line in range(3)],
        lambda store: keep(store, score, 3, ago(days=1), source="keyed"),
        lambda store: keep(store, resolve("Eleven Lamps"), 1, ago(days=1), {2: Sign.PULLED}),
        lambda store: keep(store, cut(resolve("Eleven Lamps"), 1, 4), 1, ago(days=1)),
    )
    kinds = {(kind["species"], kind["mode"]): kind for kind in table(capsys, "tally")["kinds"]}  # type: ignore[attr-defined]
    bell = kinds["1", "dorian"]
    assert (bell["written"], bell["sung"], bell["lines_sung"], bell["lines_keyed"], bell["lines"]) == (1, 0, 3, 1, 4)
    assert bell["correct"] == 1  # as it was shipped
    assert kinds["1", "phrygian"]["correct"] == 1  # an excerpt last
    assert kinds["1", "phrygian"]["lines_sung"] == 0  # pulled once, and an excerpt is no line
    kept(lambda store: keep(store, score, 3, ago(days=0.5)))
    kinds = {(kind["species"], kind["mode"]): kind for kind in table(capsys, "tally")["kinds"]}  # type: ignore[attr-defined]
    assert kinds["1", "dorian"]["sung"] == 1


def test_bars_drilled_after_the_whole_do_not_change_what_kind_of_exercise_it_is(capsys: Capture) -> None:
    own = replace(resolve("Kettle before Dawn"), title="Mine", facts=())
    kept(
        lambda store: keep(store, own, 1, ago(days=2)),
        lambda store: keep(store, cut(own, 9, 9), 1, ago(days=1)),
    )
    (kind,) = table(capsys, "tally")["kinds"]  # type: ignore[misc]
    assert (kind["species"], kind["mode"], kind["written"]) == ("4", "phrygian", 1)


def test_the_tally_says_what_counts_as_sung_and_asks_for_twenty_of_a_species_only(capsys: Capture) -> None:
    own = replace(resolve("Kettle before Dawn"), title="Mine", facts=())
    kept(lambda store: keep(store, own, 1, ago(days=2)), lambda store: keep(store, line_alone(own), 0, ago(days=2)))
    assert main(["tally"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "1 written of the customary 15 to 20" in told
    assert "not said in 1" not in told
    assert "sung or keyed: a whole take was clean, with all the others and without the guide" in told


def line_alone(score: Score) -> Score:
    return replace(score, title="One line", lines=score.lines[:1])


def test_of_an_edited_exercise_of_the_library_nobody_has_asked_whether_it_is_correct(capsys: Capture) -> None:
    score = resolve("Ferry Bell at Low Water")
    bass = score.lines[-1]
    notes = (*bass.notes[:2], replace(bass.notes[2], pitch=bass.notes[1].pitch), *bass.notes[3:])
    edited = replace(score, lines=(*score.lines[:-1], replace(bass, notes=notes)))
    kept(lambda store: keep(store, edited, TENOR, ago(days=1)))
    told = table(capsys, "tally")
    assert "customarily written" in str(told["custom_says"])
    assert [kind["correct"] for kind in told["kinds"]] == [None]  # type: ignore[attr-defined]


def test_ones_own_folder_is_counted_written_and_correct_and_a_bad_file_is_told(capsys: Capture, tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    folder.mkdir()
    good = (
        "title: Mine\nmeter: 4/4\nmode: D dorian\nspecies: 1\ncantus: bass\n\n"
        "soprano | A4 | C5 | B4 | C#5 | D5 |\nbass | D4 | E4 | G4 | E4 | D4 |\n"
    )
    (folder / "a.drill").write_text(good)
    (folder / "b.drill").write_text(good.replace("Mine", "Fifths").replace("C5 | B4", "B4 | D5"))
    (folder / "c.drill").write_text("title: nothing\n")
    assert main(["tally", str(folder), "--json"]) == 0
    told = capsys.readouterr()
    (kind,) = json.loads(told.out)["kinds"]
    assert (kind["origin"], kind["species"], kind["parts"], kind["mode"]) == ("own", "1", 2, "dorian")
    assert (kind["written"], kind["correct"]) == (2, 1)
    assert {one["title"]: one["correct"] for one in json.loads(told.out)["exercises"]} == {
        "Mine": True,
        "Fifths": False,
    }
    assert "c.drill" in told.err
    assert main(["tally", str(folder)]) == 0
    assert "species 1 in 2 parts: 2 written of the customary 15 to 20" in " ".join(capsys.readouterr().out.split())
    assert main(["tally", str(folder / "c.drill")]) == 4


def test_a_line_sung_in_another_key_comes_back_in_it(capsys: Capture) -> None:
    score = resolve("Ferry Bell at Low Water")
    kept(lambda store: keep(store, moved(score, -3), TENOR, ago(days=1)))
    (step, *_) = table(capsys, "plan")["steps"]  # type: ignore[misc]
    assert step["command"] == 'heldline sing "Ferry Bell at Low Water" --down 3 --voice tenor'
    assert main(["ladder", *shlex.split(step["command"])[2:], "--list"]) == 0


def test_the_tally_counts_by_voice(capsys: Capture) -> None:
    score = resolve("Ferry Bell at Low Water")
    kept(
        lambda store: keep(store, score, 1, ago(days=1)),
        lambda store: keep(store, score, TENOR, ago(days=1)),
        lambda store: keep(store, score, TENOR, ago(days=1), source="keyed"),
        lambda store: keep(store, score, 0, ago(days=1), {0: Sign.PULLED, 1: Sign.OFF}),
    )
    assert main(["tally"]) == 0
    assert "Lines by voice: alto 1 sung; tenor 1 sung, 1 keyed." in capsys.readouterr().out
    (kind,) = table(capsys, "tally")["kinds"]  # type: ignore[misc]
    assert kind["voices"] == [{"voice": "alto", "sung": 1, "keyed": 0}, {"voice": "tenor", "sung": 1, "keyed": 1}]


def test_singable_says_beside_the_paper_what_the_voices_say(capsys: Capture) -> None:
    score = resolve("Ferry Bell at Low Water")
    kept(*[lambda store: keep(store, score, TENOR, ago(days=1), {8: Sign.PULLED})] * 3)
    assert main(["singable", "Ferry Bell at Low Water", "--voice", "tenor"]) == 0
    told = capsys.readouterr().out
    assert "In voices" in told
    assert "Bar 9 is hard for this line: 3 of 3 takes, pulled to alto in 3." in told
    found = table(capsys, "singable", "Ferry Bell at Low Water")["voices"]
    assert found["tenor"]["takes"]["bars"][8]["failed"] == 3  # type: ignore[index]
    assert found["alto"]["takes"] is None  # type: ignore[index]


def test_a_long_list_of_takes_shows_the_latest_and_says_how_to_see_all(capsys: Capture) -> None:
    score = cut(resolve("1"), 1, 1)
    kept(*[lambda store: keep(store, score, TENOR, ago(days=1))] * 45)
    assert main(["takes"]) == 0
    told = capsys.readouterr().out.splitlines()
    assert len(told) == 41
    assert told[-1] == "(earlier ones: heldline takes --all)"
    assert main(["takes", "--all"]) == 0
    assert len(capsys.readouterr().out.splitlines()) == 45


def test_where_no_table_fits_the_tally_is_told_in_words(capsys: Capture, monkeypatch: pytest.MonkeyPatch) -> None:
    kept(lambda store: keep(store, resolve("Ferry Bell at Low Water"), TENOR, ago(days=1)))
    assert main(["tally"]) == 0
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 80
    assert main(["tally", "--plain"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "species 1, 4 parts, dorian: 1 written, 1 correct, 0 sung, 0 keyed; lines: 1 of 4 sung, 0 of 4 keyed" in told
