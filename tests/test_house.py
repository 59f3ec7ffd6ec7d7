"""The house's own rules that no linter knows."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SKIPPED_FOLDERS = {".git", ".venv", ".mypy_cache", ".ruff_cache", ".pytest_cache", ".hypothesis", "build", "dist"}
TEXT = {".py", ".md", ".toml", ".txt", ".drill", ".sh", ".yml", ".yaml", ".cfg", ""}

LONGEST_LINES = {"audio": 400, "trainer": 400, "tests": 500, ".ci": 250}
"""A file longer than this holds two thoughts."""

NOT_FOR_READERS = [
    "".join(parts)
    for parts in (
        ("../", "shared"),
        ("/work/", "shared"),
        ("people", ".md"),
        ("outside", ".md"),
        ("style", ".md"),
        ("intonation", ".md"),
        ("counterpoint", ".md"),
        ("bare-machine", ".md"),
        ("seed ", "document"),
        ("/tm", "p/venv"),
        ("/tm", "p/setup"),
    )
]
"""Places that a reader's clone does not have; in pieces, so that this file does not name them."""


@cache
def files() -> tuple[Path, ...]:
    """Every text file of the checkout that git keeps or would keep."""
    told = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"],
        cwd=ROOT,
        capture_output=True,
        check=False,
    )
    if told.returncode == 0:
        found = [ROOT / name for name in told.stdout.decode().split("\0") if name]
    else:  # an unpacked archive has no git
        found = [path for path in ROOT.rglob("*") if not SKIPPED_FOLDERS & set(path.relative_to(ROOT).parts)]
    return tuple(sorted(path for path in found if path.is_file() and path.suffix in TEXT))


def python_files(*folders: str) -> list[Path]:
    return [path for path in files() if path.suffix == ".py" and path.relative_to(ROOT).parts[0] in folders]


def test_imports_go_one_way() -> None:
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "from importlinter.cli import lint_imports_command; lint_imports_command()",
            "--no-cache",
        ],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-2000:]
    assert re.search(r"Contracts: [1-9]\d* kept, 0 broken", done.stdout)


def test_nothing_names_a_place_that_a_readers_clone_does_not_have() -> None:
    assert len(files()) > 50
    found = [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()[:80]}"
        for path in files()
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if any(word in line for word in NOT_FOR_READERS)
    ]
    assert found == []


def test_no_file_is_longer_than_one_thought() -> None:
    long = {
        str(path.relative_to(ROOT)): count
        for path in python_files(*LONGEST_LINES)
        if (count := len(path.read_text(encoding="utf-8").splitlines()))
        > LONGEST_LINES[path.relative_to(ROOT).parts[0]]
    }
    assert long == {}


def asserting(tree: ast.AST, known: set[str]) -> set[str]:
    """Names of the functions of a module that can fail: by an assertion of their own or through one that can."""
    functions = {
        node.name: node for node in ast.walk(tree) if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef))
    }
    able = set(known)
    while True:
        more = {name for name, node in functions.items() if name not in able and can_fail(node, able)}
        if not more:
            return able
        able |= more


def can_fail(node: ast.AST, able: set[str]) -> bool:
    for inner in ast.walk(node):
        if isinstance(inner, ast.Assert):
            return True
        if isinstance(inner, ast.Call):
            name = inner.func.attr if isinstance(inner.func, ast.Attribute) else getattr(inner.func, "id", "")
            if name in able or name in {"raises", "warns", "fail"} or name.startswith("assert_"):
                return True
    return False


def able_everywhere() -> set[str]:
    """Helpers of tests/support and conftest files that assert."""
    able: set[str] = set()
    for path in python_files("tests"):
        if "support" in path.parts or path.name == "conftest.py":
            able |= asserting(ast.parse(path.read_text(encoding="utf-8")), set())
    return able


def test_every_test_can_fail() -> None:
    helpers, idle, count = able_everywhere(), [], 0
    for path in python_files("tests"):
        if not path.name.startswith("test_"):
            continue
        tree = ast.parse(path.read_text(encoding="utf-8"))
        able = asserting(tree, helpers)
        for node in ast.walk(tree):
            if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)) and node.name.startswith("test_"):
                count += 1
                if node.name not in able:
                    idle.append(f"{path.relative_to(ROOT)}::{node.name}")
    assert count > 100
    assert idle == []


@pytest.mark.parametrize(
    ("body", "fails"),
    [
        ("def test_a():\n    x = 1\n", False),
        ("def test_a():\n    assert x\n", True),
        ("def helper():\n    assert x\n\ndef test_a():\n    helper()\n", True),
        ("def test_a():\n    print('assert')\n", False),
        ("def test_a():\n    with pytest.raises(ValueError):\n        f()\n", True),
    ],
)
def test_a_test_that_cannot_fail_is_told_from_one_that_can(body: str, fails: bool) -> None:
    assert ("test_a" in asserting(ast.parse(body), set())) is fails


REAL_SERVERS = ("tests/audio/devices", "tests/live")
"""Where tests wait for real servers and processes; everywhere else time is in the data."""


def test_no_test_is_expected_to_fail_or_sleeps() -> None:
    # a few milliseconds stand for a hop of sound and are let through
    never, sleeps = re.compile(r"\bxfail\b|\breruns\b"), re.compile(r"\btime\.sleep\((?!0\.00\d\b)")
    here = Path(__file__).name
    found = []
    for path in python_files("tests"):
        place = path.relative_to(ROOT).as_posix()
        if path.name == here or not path.name.startswith("test_"):
            continue
        for line in path.read_text(encoding="utf-8").splitlines():
            if never.search(line) or (sleeps.search(line) and not place.startswith(REAL_SERVERS)):
                found.append(f"{place}: {line.strip()}")
    assert found == []


def test_every_silenced_warning_says_which() -> None:
    bare = re.compile(r"#\s*(?:noqa(?!:)|type:\s*ignore(?!\[))")
    here = Path(__file__).name
    found = [
        f"{path.relative_to(ROOT)}: {line.strip()}"
        for path in python_files("audio", "trainer", "tests")
        if path.name != here
        for line in path.read_text(encoding="utf-8").splitlines()
        if bare.search(line)
    ]
    assert found == []


def test_ci_runs_the_linters_the_types_and_the_tests() -> None:
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    for step in ("ruff check", "ruff format", "mypy --platform", "lint-imports", ".venv/bin/python -m pytest", "wheel"):
        assert step in script
    for platform in ("linux", "darwin", "win32"):
        assert platform in script
