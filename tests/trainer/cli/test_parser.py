"""Help, versions, mistyped words: what a command line says before anything happens."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from heldline_command import heldline, heldline_child

from trainer import __version__
from trainer.cli import COMMANDS


def test_the_list_of_commands_is_the_folder(pytestconfig: pytest.Config) -> None:
    folder = pytestconfig.rootpath / "trainer" / "cli"
    assert sorted(COMMANDS) == sorted(path.stem for path in folder.glob("[!_]*.py"))


@pytest.mark.parametrize("words", [["--help"], ["-h"]])
def test_help_lists_every_command_and_every_exit_status(words: list[str]) -> None:
    done = heldline(*words)
    assert done.status == 0
    assert done.err == ""
    for name in COMMANDS:
        assert re.search(rf"^\s+{name}\s", done.out, re.MULTILINE)
    for status in ("0", "1", "2", "3", "4", "5", "130", "143"):
        assert re.search(rf"\b{status}  ", done.out)


@pytest.mark.parametrize("name", COMMANDS)
def test_a_commands_help_shows_examples_before_its_options(name: str) -> None:
    done = heldline(name, "--help")
    assert done.status == 0
    assert done.out.index("Examples:\n  heldline " + name) < done.out.index("Usage: heldline " + name)
    assert "Exit status:" in done.out
    assert heldline(name, "-h").out == done.out


@pytest.mark.parametrize("name", COMMANDS)
def test_every_example_of_help_is_read_by_the_parser(name: str) -> None:
    import shlex

    from trainer.cli._parser import parse

    examples = re.search(r"Examples:\n((?:  .*\n)+)", heldline(name, "--help").out)
    assert examples
    for line in examples[1].splitlines():
        words = shlex.split(line.split(" > ")[0])
        words = [word for word in words if not re.match(r"[A-Z_]+=", word)]
        assert words[0] == "heldline"
        assert parse(words[1:]).command == name


@pytest.mark.parametrize("words", [["--version"], ["-V"], ["sing", "-V"], ["takes", "--version"]])
def test_the_version_is_told_everywhere(words: list[str]) -> None:
    done = heldline(*words)
    assert (done.status, done.out) == (0, f"heldline {__version__}\n")


@pytest.mark.parametrize(
    ("words", "likely"),
    [
        (["sign"], "did you mean sing?"),
        (["lybrary"], "did you mean library?"),
        (["sing", "x", "--vioce", "alto"], "did you mean --voice?"),
        (["trace", "x", "--jsno"], "did you mean --json?"),
        (["settings", "set", "tolerence", "5"], "did you mean tolerance?"),
    ],
)
def test_a_mistyped_word_is_answered_with_the_likely_one(words: list[str], likely: str) -> None:
    done = heldline(*words)
    assert done.status == 2
    assert done.out == ""
    assert likely in done.err


@pytest.mark.parametrize(
    "words",
    [
        ["sing", "--input", "x.wav"],
        ["sing", "1", "--input", "x.wav"],
        ["sing", "1", "--input", "x.wav", "--voice", "tenor", "--guide", "full"],
        ["sing", "1", "--input", "x.wav", "--voice", "tenor", "--lead", "singer"],
        ["sing", "1", "--voice", "tenor", "--lead", "nobody"],
        ["sing", "1", "--voice", "tenor", "--count-in", "9"],
        ["sing", "1", "--voice", "tenor", "--bars", "9-99"],
        ["sing", "1", "--voice", "tenor", "--bars", "x"],
        ["sing", "1", "--voice", "tenor", "--own-octave", "3"],
        ["sing", "1", "--voice", "tenor", "--starts-at", "2"],
        ["sing", "1", "--voice", "tenor", "--stand", "cello"],
        ["key", "1", "--voice", "tenor", "--track", "2"],
        ["key", "1", "--voice", "tenor", "--degrees"],
        ["sing", "1", "--voice", "tenor", "--input"],
        ["sing", "1", "--voice", "tenor", "--input", "x", "--tolerance", "huge"],
        ["sing", "1", "--voice", "tenor", "--input", "x", "--tempo", "nan"],
        ["sing", "1", "--voice", "tenor", "--input", "x", "--tempo", "1e9999999"],
        ["sing", "1", "--voice", "tenor", "--input", "x", "--starts-at", "1/0"],
        ["sing", "1", "--voice", "tenor", "--input", "x", "--tol", "25"],
        ["sing", "1", "--voice", "tenor", "--input", "x", "--a", "300"],
        ["sing", "1", "--voice", "tenor", "--input", "x", "--starts-at", "99999999"],
        ["sing", "1", "--voice", "cello", "--input", "x"],
        ["sing", "1", "--lines", "tenor"],
        ["sing", "1", "--lines", "tenor=a,tenor=b"],
        ["sing", "1", "--lines", "tenor=a", "--input", "x"],
        ["sing", "Ferry", "Bell", "--voice", "tenor", "--input", "x"],
        ["sing", "1", "--voice", "tenor", "--input", "x", "--played-at", "1"],
        ["sing", "1", "--voice", "tenor", "--time", "free"],
        ["sing", "1", "--voice", "tenor", "--input", "x", "--time", "free", "--starts-at", "2"],
        ["key", "1", "--input", "x.mid"],
        ["trace"],
        ["trace", "x", "--csv", "--json"],
        ["trace", "x", "--lowest", "500", "--highest", "100"],
        ["trace", "x", "--voice", "bass", "--lowest", "50"],
        ["demo", "--take", "nightingale"],
        ["takes", "purge", "3"],
        ["takes", "undo", "x"],
        ["review", "--why", "x", "x"],
        ["settings", "set"],
        ["settings", "set", "tolerance"],
        ["settings", "set", "tolerance", "99"],
        ["library", "show"],
        ["hear", "1", "-o", "x.wav", "--without", "soprano,alto,tenor,bass"],
        ["hear", "1", "-o", "x.wav", "--count-in", "99"],
        ["--nonsense"],
        ["--", "sing"],
        [""],
    ],
)
def test_wrong_usage_is_two_on_stderr_and_never_a_traceback(words: list[str]) -> None:
    done = heldline(*words)
    assert done.out == ""
    assert done.err.startswith("heldline: ")
    assert "Traceback" not in done.err
    assert len(done.err.strip().splitlines()) <= 3
    assert done.status == 2 or words == ["--", "sing"]


@pytest.mark.parametrize(
    ("words", "status"),
    [
        (["sing", "1"], 3),
        (["key", "1", "--voice", "alto"], 3),
        (["hear", "1"], 3),
        (["sing", "No Such Piece", "--voice", "alto", "--input", "x"], 4),
        (["sing", "1", "--voice", "tenor", "--input", "no-such.wav"], 4),
        (["sing", "no-such.drill", "--voice", "tenor", "--input", "no-such.wav"], 4),
        (["trace", "no-such.wav"], 4),
        (["key", "1", "--voice", "alto", "--input", "no-such.mid"], 4),
        (["library", "show", "no-such.krn"], 4),
    ],
)
def test_each_kind_of_fault_has_its_exit_status(words: list[str], status: int) -> None:
    done = heldline(*words)
    assert done.status == status, done.err
    assert done.out == ""
    assert "Traceback" not in done.err


def test_a_title_that_cannot_be_printed_is_shown_by_its_codes() -> None:
    done = heldline_child(
        "sing", "\u266f\u2014\u00fc", "--voice", "alto", "--input", "x", env={"PYTHONIOENCODING": "ascii"}
    )
    assert done.status == 4
    assert "\\u266f" in done.err


def test_a_score_whose_title_the_terminal_lacks_is_shown_all_the_same(tmp_path: Path) -> None:
    path = tmp_path / "x.drill"
    path.write_text("title: Gr\u00fcne \u266f W\u00e4nde\n\nsoprano | A4 |\nbass | D3 |\n", encoding="utf-8")
    done = heldline_child("library", "show", path, env={"PYTHONIOENCODING": "ascii"})
    assert done.status == 0, done.err
    assert "\\u266f" in done.out


def test_no_arguments_say_what_to_type_next_and_ask_nothing() -> None:
    done = heldline_child()
    assert done.status == 0
    assert "heldline demo" in done.out
    assert "?" not in done.out
    assert len(done.out.splitlines()) < 24


def test_dashes_make_no_option_like_another() -> None:
    assert "did you mean" not in heldline("check", "1", "--figures").err
    assert "did you mean --voice?" in heldline("sing", "--voise", "tenor").err
    assert "did you mean --tempo?" in heldline("sing", "1", "--tmpo=60").err
