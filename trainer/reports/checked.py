"""What a check found, for people and for programs.

As a teacher says it: the verdict first, then faults by gravity, each with its bars, voices and notes, what is wrong and what would
mend it. The rule set's name stands in every verdict.
"""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

from trainer.errors import HeldlineError
from trainer.reports.look import Look
from trainer.reports.wording import beat_words, count_words
from trainer.rules.checking import Report
from trainer.rules.declare import Rule
from trainer.rules.finding import Finding
from trainer.rules.mending import Mend
from trainer.score.naming import Names, sentence
from trainer.score.time import Bars

SCHEMA, LIST_SCHEMA = "heldline.check/1", "heldline.rules/1"
HEADINGS = (("forbidden", "Forbidden"), ("avoid", "To avoid"), ("style", "Style"))
KIND = {"forbidden": "note", "avoid": "time", "style": "nothing"}
INDENT = 4


@dataclass(frozen=True, slots=True)
class Checked:
    """One score's report with what is told beside it.

    ``names`` are the voices' names, top first; ``mends`` the changes for each finding asked about, by its index; ``shown`` the lines
    of the classified score and ``notes`` every note's kind, empty when nobody asked.
    """

    file: str
    report: Report
    names: tuple[str, ...]
    bars: Bars
    rules: Mapping[str, Rule]
    mends: Mapping[int, tuple[Mend, ...]] = field(default_factory=dict)
    shown: tuple[str, ...] = ()
    notes: tuple[dict[str, Any], ...] = ()


def checked_called(checked: Checked, names: Names) -> Checked:
    """The same for people, notes called as they call them."""
    findings = tuple(replace(one, says=sentence(one.says, names)) for one in checked.report.findings)
    mends = {
        index: tuple(
            replace(one, before=sentence(one.before, names), after=sentence(one.after, names)) for one in changes
        )
        for index, changes in checked.mends.items()
    }
    return replace(checked, report=replace(checked.report, findings=findings), mends=mends)


def checked_to_json(checked: Checked) -> dict[str, Any]:
    """One object a score."""
    report = checked.report
    told: dict[str, Any] = {
        "schema": SCHEMA,
        "file": checked.file,
        "title": report.title,
        "rules": report.rules,
        "parts": report.parts,
        "voices": dict(zip(_numbers(report.parts), checked.names, strict=True)),
        "species": dict(zip(_numbers(report.parts), report.species, strict=True)),
        "correct": report.correct,
        "findings": [_finding_to_json(checked, index, one) for index, one in enumerate(report.findings)],
    }
    if checked.shown:
        told["shown"] = list(checked.shown)
        told["notes"] = list(checked.notes)
    return told


def refused_to_json(file: str, err: HeldlineError) -> dict[str, Any]:
    """The object of a file that could not be read."""
    return {
        "schema": SCHEMA,
        "file": file,
        "title": None,
        "error": {"what": err.what, "where": err.where, "do": err.do},
    }


def _numbers(parts: int) -> tuple[str, ...]:
    return tuple(str(number) for number in range(1, parts + 1))


def _finding_to_json(checked: Checked, index: int, one: Finding) -> dict[str, Any]:
    told: dict[str, Any] = {
        "rule": one.rule,
        "case": one.case,
        "strictness": one.strictness,
        "bar": one.bar,
        "beat": float(one.beat),
        "to_bar": one.to_bar,
        "to_beat": float(one.to_beat),
        "voices": [str(voice + 1) for voice in one.voices],
        "notes": list(one.notes),
        "says": one.says,
        "advice": one.advice,
        "source": one.source,
    }
    printed = _printed(checked.bars, one.bar)
    if printed != str(one.bar):
        told["printed_bar"] = printed
    if index in checked.mends:
        told["mends"] = [
            {
                "voice": str(mend.voice + 1),
                "bar": mend.bar,
                "beat": float(mend.beat),
                "from": mend.before,
                "to": mend.after,
            }
            for mend in checked.mends[index]
        ]
    return told


def _printed(bars: Bars, number: int) -> str:
    return next((bar.printed for bar in bars.bars if bar.number == number), str(number))


def checked_as_text(checked: Checked, look: Look) -> str:
    """One score: verdict, voices, findings by gravity."""
    report = checked.report
    lines = textwrap.wrap(verdict(checked), look.width, break_on_hyphens=False)
    lines = [look.paint(line, "head") for line in lines]
    lines += textwrap.wrap(_voices(checked), look.width, break_on_hyphens=False)
    if checked.shown:
        lines += ["", *checked.shown]
    for strictness, heading in HEADINGS:
        mine = [(index, one) for index, one in enumerate(report.findings) if one.strictness == strictness]
        if not mine:
            continue
        lines += ["", look.paint(heading, "head")]
        if strictness == "style":
            lines += _gathered(checked, [one for _, one in mine], look)
            continue
        for index, one in mine:
            lines += _told(checked, index, one, look)
    return "\n".join(lines)


def verdict(checked: Checked) -> str:
    """Title, correct or not, under which rules, and how many of what."""
    report = checked.report
    counts = [
        f"{sum(one.strictness == strictness for one in report.findings)} {word}"
        for strictness, word in (("forbidden", "forbidden"), ("avoid", "to avoid"), ("style", "of style"))
        if any(one.strictness == strictness for one in report.findings)
    ]
    word = "correct" if report.correct else "not yet correct"
    return f"{report.title}: {word} under {report.rules}" + (f" ({', '.join(counts)})" if counts else "")


def _voices(checked: Checked) -> str:
    report = checked.report
    if set(report.species) == {"free"}:
        return f"{count_words(report.parts, 'voice')}, checked free: the rules of species and cadence are off"
    kinds = [
        f"{name} {'cantus' if kind == 'cantus' else kind if kind == 'free' else f'species {kind}'}"
        for name, kind in zip(checked.names, report.species, strict=True)
    ]
    return ", ".join(kinds)


def _told(checked: Checked, index: int, one: Finding, look: Look) -> list[str]:
    where = f"{place_words(checked, one)}, {_voices_of(checked, one)}"
    head = f"{where}: {one.says} [{one.rule}]"
    body = [checked.rules[one.rule].sentence, f"Mend: {one.advice}."]
    if index in checked.mends:
        body.append(_mend_words(checked, checked.mends[index]))
    told = textwrap.wrap(head, look.width, initial_indent="  ", subsequent_indent=" " * INDENT, break_on_hyphens=False)
    told[0] = look.paint(told[0], KIND[one.strictness])
    for part in body:
        told += textwrap.wrap(
            part, look.width, initial_indent=" " * INDENT, subsequent_indent=" " * INDENT, break_on_hyphens=False
        )
    return told


def _mend_words(checked: Checked, changes: Sequence[Mend]) -> str:
    if not changes:
        return "No single note mends it without a new fault."
    told = [
        f"{checked.names[mend.voice]} {_place(checked, mend.bar, mend.beat)}, {mend.before} to {mend.after}"
        for mend in changes
    ]
    return f"One note would do: {'; or '.join(told)}."


def _gathered(checked: Checked, findings: Sequence[Finding], look: Look) -> list[str]:
    """Matters of style, one line a rule: whose they are and in which bars."""
    lines: list[str] = []
    for rule in dict.fromkeys(one.rule for one in findings):
        bars: dict[str, list[int]] = {}
        for one in findings:
            if one.rule == rule:
                bars.setdefault(_voices_of(checked, one), []).append(one.to_bar)
        places = "; ".join(f"{voices} in {checked.bars.named(*there)}" for voices, there in bars.items())
        told = f"{checked.rules[rule].sentence} {places[:1].upper()}{places[1:]} [{rule}]"
        lines += textwrap.wrap(
            told, look.width, initial_indent="  ", subsequent_indent=" " * INDENT, break_on_hyphens=False
        )
    return lines


def _voices_of(checked: Checked, one: Finding) -> str:
    if len(one.voices) == checked.report.parts > 1:
        return "all voices"
    return " and ".join(checked.names[voice] for voice in one.voices)


def place_words(checked: Checked, one: Finding) -> str:
    """Where a finding stands, from and to, the printed bar beside it where it differs."""
    start = _place(checked, one.bar, one.beat)
    if (one.bar, one.beat) == (one.to_bar, one.to_beat):
        return start
    if one.bar == one.to_bar:
        return f"{start} to beat {beat_words(one.to_beat)}"
    return f"{start} to {_place(checked, one.to_bar, one.to_beat)}"


def _place(checked: Checked, bar: int, beat: Fraction) -> str:
    return f"{checked.bars.named(bar)} beat {beat_words(beat)}"
