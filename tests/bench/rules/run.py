"""What the checker of counterpoint finds in Fux's figures and the shipped drills, and how long it takes.

``.venv/bin/python tests/bench/rules/run.py``. Times are of the processor, not of the wall, since the machine is shared; only the cold
start is by the wall.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from statistics import median

sys.path[:0] = [str(Path(__file__).parents[3]), str(Path(__file__).parents[2] / "support")]

from fux import FOLDER, NOT_CLEAN, figures  # noqa: E402

from trainer.formats import read_path  # noqa: E402
from trainer.library import exercises  # noqa: E402
from trainer.rules.checking import Report, check  # noqa: E402
from trainer.rules.ruleset import SHIPPED, RuleSet, shipped  # noqa: E402
from trainer.score.model import Line, Score  # noqa: E402

STRICT = shipped("strict16")


def fux_table() -> None:
    """A row for each number of parts and species."""
    rows: dict[str, Counter[str]] = {}
    for name, score in figures().items():
        report = check(score, STRICT)
        row = rows.setdefault(f"{report.parts} parts, {_species(report)}", Counter())
        forbidden = sorted(
            (finding.rule, f"{finding.bar}-{finding.to_bar}")
            for finding in report.findings
            if finding.strictness == "forbidden"
        )
        row["figures"] += 1
        row["correct"] += report.correct
        row["to avoid"] += sum(finding.strictness == "avoid" for finding in report.findings)
        row["style"] += sum(finding.strictness == "style" for finding in report.findings)
        row["not clean"] += name in NOT_CLEAN
        row["as expected"] += forbidden == sorted(NOT_CLEAN[name][1] if name in NOT_CLEAN else ())
    print("| Fux 1725 | figures | correct | with a licence or a slip | exactly as expected | to avoid | style |")
    print("|---|---|---|---|---|---|---|")
    for name, row in [*sorted(rows.items()), ("all", sum(rows.values(), Counter()))]:
        cells = (row[key] for key in ("figures", "correct", "not clean", "as expected", "to avoid", "style"))
        print(f"| {name} | {' | '.join(str(cell) for cell in cells)} |")


def _species(report: Report) -> str:
    moving = sorted({kind for kind in report.species if kind not in ("cantus", "1")})
    return f"species {'+'.join(moving) or '1'}"


def drills_table() -> None:
    """How many shipped drills are correct under each set."""
    print("\n| drills | correct | forbidden | to avoid | style |\n|---|---|---|---|---|")
    for name in SHIPPED:
        reports = [check(read_path(exercise.path), shipped(name)) for exercise in exercises()]
        grades = Counter(finding.strictness for report in reports for finding in report.findings)
        correct = sum(report.correct for report in reports)
        print(
            f"| {name} | {correct} of {len(reports)} | {grades['forbidden']} | {grades['avoid']} | {grades['style']} |"
        )


def repeated(score: Score, bars: int) -> Score:
    """*score* set end to end until it has so many bars."""
    length = score.bars().end_quarters
    times = -(-bars * 4 // int(length))
    lines = tuple(
        Line(
            line.name,
            tuple(
                replace(note, onset_quarters=note.onset_quarters + Fraction(count) * length)
                for count in range(times)
                for note in line.notes
            ),
        )
        for line in score.lines
    )
    return replace(score, lines=lines)


def speed() -> None:
    """Processor time of a 64-bar four-part score, species by species."""
    print("\n| 64 bars of four parts, ms | strict16 | conservatoire | tonal | free |\n|---|---|---|---|---|")
    for name in ("160", "175", "182", "193", "200", "204"):
        long = repeated(figures()[name], 64)
        cells = [_milliseconds(long, shipped(rules), None) for rules in SHIPPED] + [_milliseconds(long, STRICT, "free")]
        print(f"| figure {name} | {' | '.join(f'{cell:.1f}' for cell in cells)} |")


def _milliseconds(score: Score, rules: RuleSet, species: str | None) -> float:
    times = []
    for _ in range(7):
        start = time.process_time()
        check(score, rules, species)
        times.append(1000 * (time.process_time() - start))
    return median(times)


def cold_start() -> None:
    """From the command's start to its last finding, in a process of its own."""
    wall, processor = [], []
    for _ in range(5):
        start, used = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
        command = [sys.executable, "-m", "trainer", "check", str(FOLDER / "165.krn"), "--rules", "strict16"]
        subprocess.run(command, cwd=Path(__file__).parents[3], capture_output=True, check=False)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        wall.append(time.perf_counter() - start)
        processor.append(after.ru_utime + after.ru_stime - used.ru_utime - used.ru_stime)
    print(
        f"\ncold start to the last finding: {median(processor):.2f} s of the processor, {min(wall):.2f} s by the wall at best"
    )


if __name__ == "__main__":
    fux_table()
    drills_table()
    speed()
    cold_start()
