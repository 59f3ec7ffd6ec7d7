"""What a judged attempt came to, for the history: figures of each sung line, its bars, the weak spots it met."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction

from trainer.log.attempt import Attempt
from trainer.log.outcome import CHORDS, BarOutcome, Music, Outcome, Tried
from trainer.practice.beside import in_company
from trainer.practice.clean import OUT_OF_TUNE, WRONG, mark
from trainer.practice.signs import COUNTED_AS_HELD, Sign
from trainer.practice.take import NoteVerdict, Performance, Take
from trainer.reports.findings import WEIGHTS
from trainer.rules.mode import Mode, find_mode
from trainer.rules.piece import CANTUS, FREE, Piece
from trainer.rules.texture import Texture
from trainer.score.change import EXCERPT
from trainer.score.model import Score
from trainer.score.moved import as_written
from trainer.score.pitch import STEPS, Pitch
from trainer.tuning.chords import FACT

SIZES = ("", "seconds", "thirds", "fourths", "fifths", "sixths", "sevenths", "octaves")
MOST_NOTES = 3_000
"""A longer piece is no exercise, and to ask would keep somebody waiting."""

COMBINED = "combined"
SPECIES = ("1", "2", "3", "4", "5", COMBINED, FREE)


def outcomes(attempt: Attempt, performance: Performance) -> tuple[Outcome, ...]:
    """One outcome a sung line, in the attempt's order; none of a desk's turn, which says nothing of whoever practises at this machine."""
    if attempt.beside.rehearsal:
        return ()
    return tuple(_outcome(attempt, line, take) for line, take in zip(attempt.lines, performance.takes, strict=True))


def music(score: Score) -> Music:
    """Of which kind an exercise is."""
    return Music(score.title, len(score.lines), _species(score), _mode(as_written(score)))


def _outcome(attempt: Attempt, line: int, take: Take) -> Outcome:
    counts = take.result()
    sung = [Pitch.parse(n.sung).midi for n in take.notes if n.sung and n.expected and n.sign not in WRONG]
    starts = [n.start_s for n in take.notes if n.start_s is not None]
    ends = [n.end_s for n in take.notes if n.end_s is not None]
    return Outcome(
        line=line,
        voice=take.voice,
        mark=mark(take),
        company=in_company(attempt.beside, attempt.settings, len(attempt.score.lines), line),
        guide=attempt.beside.guide,
        part=_part(attempt.score),
        seconds=round(max(ends) - min(starts)) if starts and ends else 0,
        notes=counts["notes"],
        judged=counts["judged"],
        held=counts["held"],
        pulled=counts.get(Sign.PULLED.value, 0),
        lowest_midi=min(sung, default=None),
        highest_midi=max(sung, default=None),
        drift_cents=take.drift_cents,
        bars=_bars(take),
        tried=() if attempt.score.fact(FACT) else tried(attempt.score, line, take),
    )


def _part(score: Score) -> str:
    return CHORDS if score.fact(FACT) else "excerpt" if score.fact(EXCERPT) else "whole"


def _bars(take: Take) -> tuple[BarOutcome, ...]:
    if take.status == "nothing heard":
        return ()
    by_bar: dict[int, list[NoteVerdict]] = {}
    for note in take.notes:
        by_bar.setdefault(note.bar, []).append(note)
    found = []
    for bar, notes in sorted(by_bar.items()):
        judged = [note for note in notes if note.sign is not Sign.UNSURE]
        held = [note for note in judged if note.sign in COUNTED_AS_HELD]
        worst = max(judged, key=lambda note: WEIGHTS.get(note.sign, 0), default=None)
        fault = worst if worst is not None and worst.sign in WEIGHTS else None
        found.append(
            BarOutcome(
                bar,
                len(judged),
                len(held),
                "" if fault is None else fault.sign.value,
                (fault.pulled_to or "") if fault is not None else "",
            )
        )
    return tuple(found)


def tried(score: Score, line: int, take: Take) -> tuple[Tried, ...]:
    """How often each weak spot was met in a take, and how often it failed."""
    met: Counter[str] = Counter()
    failed: Counter[str] = Counter()
    for spot, sign in _spots(score, line, take):
        if sign is Sign.UNSURE:
            continue
        met[spot] += 1
        failed[spot] += sign in WRONG or sign in OUT_OF_TUNE
    for clash in take.clashes:
        events = (clash.prepared, clash.held, clash.resolved)
        if Sign.UNSURE not in events:
            met[f"{clash.figure} clashes"] += 1
            failed[f"{clash.figure} clashes"] += not COUNTED_AS_HELD.issuperset(events)
    return tuple(Tried(spot, met[spot], failed[spot]) for spot in sorted(met))


def _spots(score: Score, line: int, take: Take) -> Iterator[tuple[str, Sign]]:
    """Interval into each note and its degree, with its main sign; silence tells nothing of an interval and is left out."""
    signs: dict[tuple[int, Fraction], Sign] = {
        (note.bar, note.beat): note.sign for note in take.notes if note.expected is not None
    }
    bars, before, mode = score.bars(), None, _known_mode(score)
    for note in score.lines[line].notes:
        place = bars.place(note.onset_quarters)
        sign = signs.get((place.bar, place.beat))
        if sign is not None and sign is not Sign.SILENT:
            if before is not None and before.end_quarters == note.onset_quarters:
                letters = note.pitch.diatonic - before.pitch.diatonic
                if 0 < abs(letters) < len(SIZES):
                    yield f"{SIZES[abs(letters)]} {'up' if letters > 0 else 'down'}", sign
            if mode is not None:
                yield f"degree {(STEPS.index(note.pitch.step) - mode.letter) % 7 + 1}", sign
        before = note


def _species(score: Score) -> str:
    said = score.fact("species")
    if score.fact(FACT):
        return CHORDS
    if said in SPECIES:
        return "" if said == FREE else said
    asked = len(score.lines) > 1 and sum(len(line.notes) for line in score.lines) <= MOST_NOTES
    moving = set(Piece(score).species) - {CANTUS} if asked else {FREE}
    if FREE in moving:
        return ""
    above_first = sorted(moving - {"1"})
    return (above_first or ["1"])[0] if len(above_first) < 2 else COMBINED


def _mode(score: Score) -> str:
    mode = _known_mode(score)
    return "" if mode is None else mode.name


def _known_mode(score: Score) -> Mode | None:
    """The mode as ``check`` has it; None where nothing shows it, as in some bars of a whole whose file names none.

    A file's signature alone is not asked: what writes MusicXML calls most signatures major, whatever the final.
    """
    said = bool(score.fact("mode"))
    shown = not score.fact(EXCERPT) and sum(len(line.notes) for line in score.lines) <= MOST_NOTES
    return find_mode(score, Texture(score)) if said or shown else None
