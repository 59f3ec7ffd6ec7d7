"""A room of the program with one small change each, and whether its tests notice.

Every mutant is one change in the code: a comparison turned, an ``and`` for an ``or``, a number one greater, a sign, a branch exchanged.
Declarations in capitals, words for people and annotations are left alone. The mutants stand in one fixed order, shuffled once, so that
attempt after attempt takes the next and a run that goes on begins where the last one stopped. Each is tried in a forked child that imports
the changed module and runs the room's tests until the first failure. POSIX only.

``--set room=judge`` says which room (rules); ``--set begun=yes`` that the unchanged code passed in an earlier piece of the run.
"""

from __future__ import annotations

import ast
import importlib.abc
import importlib.machinery
import os
import random
import resource
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

from mutant_rooms import ROOMS, ROOT, Room

FIRST_SEED = 1_000_000
ORDER_SEED = 20
MOST_CPU_S, QUICK_CPU_S = 120, 60
PYTEST = ("-x", "-q", "-p", "no:cacheprovider", "-p", "no:hypothesispytest", "--rootdir", str(ROOT))
WANTED_SHARE, LEAST_MUTANTS = 0.8, 200

COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
SUMS: dict[type[ast.operator], type[ast.operator]] = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Add}
CALLS = {"min": "max", "max": "min", "any": "all", "all": "any"}
WORDS_FOR_PEOPLE = {"says", "way", "word", "words", "name", "names", "what", "where", "told", "against"}
"""Names that hold parts of sentences."""


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change: file, line, what stood there, what stands there now, and which of the file's changes it is."""

    path: Path
    line: int
    was: str
    now: str
    number: int


class Changer(ast.NodeTransformer):
    """Walks the code of a module, counts the places where something can be changed, and changes the wanted one."""

    def __init__(self, wanted: int = -1) -> None:
        self.wanted, self.seen = wanted, -1
        self.found: list[tuple[int, str, str]] = []

    def _offer(self, node: Any, changed: Any) -> Any:
        self.seen += 1
        self.found.append((node.lineno, ast.unparse(node), ast.unparse(changed)))
        return ast.copy_location(changed, node) if self.seen == self.wanted else node

    def visit_Compare(self, node: ast.Compare) -> Any:
        self.generic_visit(node)
        for place, operator in enumerate(node.ops):
            operators = [*node.ops[:place], COMPARISONS[type(operator)](), *node.ops[place + 1 :]]
            node = self._offer(node, ast.Compare(node.left, operators, node.comparators))
        return node

    def visit_BoolOp(self, node: ast.BoolOp) -> Any:
        self.generic_visit(node)
        return self._offer(node, ast.BoolOp(ast.And() if isinstance(node.op, ast.Or) else ast.Or(), node.values))

    def visit_UnaryOp(self, node: ast.UnaryOp) -> Any:
        self.generic_visit(node)
        return self._offer(node, node.operand) if isinstance(node.op, (ast.Not, ast.USub)) else node

    def visit_BinOp(self, node: ast.BinOp) -> Any:
        self.generic_visit(node)
        kind = SUMS.get(type(node.op))
        return self._offer(node, ast.BinOp(node.left, kind(), node.right)) if kind else node

    def visit_IfExp(self, node: ast.IfExp) -> Any:
        self.generic_visit(node)
        return self._offer(node, ast.IfExp(node.test, node.orelse, node.body))

    def visit_Constant(self, node: ast.Constant) -> Any:
        if isinstance(node.value, bool):
            return self._offer(node, ast.Constant(not node.value))
        return self._offer(node, ast.Constant(node.value + 1)) if isinstance(node.value, int) else node

    def visit_Call(self, node: ast.Call) -> Any:
        self.generic_visit(node)
        name = getattr(node.func, "id", "")
        if name not in CALLS:
            return node
        return self._offer(node, ast.Call(ast.Name(CALLS[name], ast.Load()), node.args, node.keywords))

    def visit_JoinedStr(self, node: ast.JoinedStr) -> Any:
        return node

    def visit_AnnAssign(self, node: ast.AnnAssign) -> Any:
        if node.value is not None:
            node.value = self.visit(node.value)
        return node

    def visit_arguments(self, node: ast.arguments) -> Any:
        return node

    def visit_Assign(self, node: ast.Assign) -> Any:
        names = {name.id for target in node.targets for name in ast.walk(target) if isinstance(name, ast.Name)}
        if names & WORDS_FOR_PEOPLE or any(name.isupper() for name in names):
            return node
        return self.generic_visit(node)


def mutants(room: Room) -> list[Mutant]:
    """Every mutant of the room, in the campaign's order."""
    found = []
    for path in sorted(room.folder.rglob("*.py")):
        changer = Changer()
        changer.visit(ast.parse(path.read_text(encoding="utf-8")))
        found += [Mutant(path, line, was, now, number) for number, (line, was, now) in enumerate(changer.found)]
    random.Random(ORDER_SEED).shuffle(found)
    return found


class Instead(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives the changed code for one module."""

    def __init__(self, mutant: Mutant) -> None:
        self.mutant = mutant
        relative = mutant.path.relative_to(ROOT).with_suffix("")
        parts = relative.parts[:-1] if relative.name == "__init__" else relative.parts
        self.name, self.package = ".".join(parts), relative.name == "__init__"

    def find_spec(self, fullname: str, path: Any = None, target: Any = None) -> importlib.machinery.ModuleSpec | None:
        if fullname != self.name:
            return None
        return importlib.machinery.ModuleSpec(fullname, self, origin=str(self.mutant.path), is_package=self.package)

    def exec_module(self, module: ModuleType) -> None:
        if self.package:
            module.__path__ = [str(self.mutant.path.parent)]
        tree = Changer(self.mutant.number).visit(ast.parse(self.mutant.path.read_text(encoding="utf-8")))
        code = compile(ast.fix_missing_locations(tree), str(self.mutant.path), "exec")
        exec(code, module.__dict__)  # noqa: S102 - our own module, changed on purpose


class Campaign:
    """One mutant an attempt."""

    def __init__(self, scratch: Path, room: str = "rules", begun: str = "") -> None:
        """*begun* says that the unchanged code passed in an earlier piece of this run and need not be tried again."""
        import numpy  # noqa: F401 - what every child would import is imported once
        import pytest  # noqa: F401

        self.count, self.killed = 0, 0
        self.room = ROOMS[room]
        self.order = mutants(self.room)
        self.survivors: list[Mutant] = []
        os.environ["HELDLINE_HOME"] = str(scratch / "home")
        if not begun and not survives(self.room, None):
            raise SystemExit(f"the tests of {room} do not pass as they are; mend them first")

    def attempt(self, seed: int) -> dict[str, Any]:
        """Never a failure in itself; whether enough are killed, the summary says."""
        mutant = self.order[(seed - FIRST_SEED) % len(self.order)]
        killed = not survives(self.room, mutant)
        self.killed += killed
        if not killed:
            self.survivors.append(mutant)
        where = f"{mutant.path.relative_to(ROOT)}:{mutant.line}"
        return {"where": where, "was": mutant.was, "now": mutant.now, "outcome": "killed" if killed else "survived"}

    def summary(self) -> tuple[list[str], bool]:
        """Survivors, share; good when four of five of at least two hundred are killed (of fewer: of those there were)."""
        lines = list(self._survivors())
        share = self.killed / max(self.count, 1)
        lines.append(f"{self.killed} of {self.count} mutants killed, {100 * share:.1f} %; there are {len(self.order)}")
        enough = share >= WANTED_SHARE or self.count < LEAST_MUTANTS // 10
        return lines, enough

    def _survivors(self) -> Iterator[str]:
        for mutant in self.survivors:
            yield f"survived: {mutant.path.relative_to(ROOT)}:{mutant.line}: {mutant.was}  ->  {mutant.now}"


class SameExamples:
    """The same examples for every mutant, and none made smaller: that one is wrong is enough."""

    def pytest_collection(self) -> None:
        """Before any test module sets its own."""
        from hypothesis import Phase, settings

        settings.register_profile("mutants", derandomize=True, database=None, phases=[Phase.generate])
        settings.load_profile("mutants")


def survives(room: Room, mutant: Mutant | None) -> bool:
    """Whether the tests pass with it (None: with the code as it is); one that runs out of time does not survive."""
    batches = room.tests(None if mutant is None else mutant.path)
    return all(_pass(room, mutant, files) for files in ([], *(one for one in batches if one)))


def _pass(room: Room, mutant: Mutant | None, files: list[Path]) -> bool:
    """Whether these files pass; no files at all is the room's quick question."""
    child = os.fork()
    if child == 0:
        _run_and_leave(room, mutant, files)
    _, ended = os.waitpid(child, 0)
    return os.WIFEXITED(ended) and os.WEXITSTATUS(ended) == 0


def _run_and_leave(room: Room, mutant: Mutant | None, files: list[Path]) -> None:
    import pytest

    most_s = MOST_CPU_S if files else QUICK_CPU_S
    resource.setrlimit(resource.RLIMIT_CPU, (most_s, most_s))
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    os.chdir(ROOT)
    sys.dont_write_bytecode = True
    if mutant is not None:
        sys.meta_path.insert(0, Instead(mutant))
    try:
        if files:
            status = int(pytest.main([*PYTEST, "-k", room.asked, *map(str, files)], plugins=[SameExamples()]))
        else:
            status = 0 if room.quick(None if mutant is None else mutant.path) else 1
    except BaseException:
        status = 1
    os._exit(status)
