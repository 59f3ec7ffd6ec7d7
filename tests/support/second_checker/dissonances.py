"""Every struck dissonance, named by how it comes and goes before it is judged."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from second_checker import sevenths
from second_checker.piece import BETWEEN_UPPER, Finding, Piece, Tone, agree, lowest, move, simple, step


def find(piece: Piece) -> Iterator[Finding]:
    for at in piece.times:
        if piece.strong(at):
            yield from on_the_beat(piece, at)
        else:
            yield from off_the_beat(piece, at)


def on_the_beat(piece: Piece, at: int) -> Iterator[Finding]:
    """Two notes struck together on the first beat agree; a held note is a suspension's concern."""
    sounding = piece.at(at)
    bass = lowest(sounding)
    struck = [n for n in sounding if n is not None and (n.start == at or not piece.quick(n.voice))]
    if sevenths.is_chord(piece, at):
        if not sevenths.welcome(piece):
            voices = [n.voice for n in struck]
            yield piece.finding("seventh-allowed", at, at, *voices)
        return
    triad = augmented(struck) and len(struck) == len([n for n in sounding if n is not None])
    if triad and piece.rules != "tonal":
        yield piece.finding("augmented-triad", at, at, *(n.voice for n in struck))
        return
    for a, b in combinations(struck, 2):
        if agree(a, b, bass):
            continue
        if licensed_fifth(piece, a, b, at):
            continue
        rule = name_struck(piece, a, b, bass, sounding)
        if rule:
            yield piece.finding(rule, at, at, a.voice, b.voice)


def augmented(struck: list[Tone]) -> bool:
    classes = {n.midi % 12 for n in struck}
    return len(classes) == 3 and len({c % 4 for c in classes}) == 1


def name_struck(piece: Piece, a: Tone, b: Tone, bass: Tone | None, sounding: tuple[Tone | None, ...]) -> str:
    interval = simple(a, b)
    if bass in (a, b) and interval == (3, 5):
        assert bass is not None
        sixth = any(n is not None and simple(n, bass)[0] == 5 for n in sounding)
        if piece.parts > 2 and sixth:
            close = piece.whole and piece.bar(max(a.start, b.start)) >= piece.bars - 1
            lawful = piece.rules == "tonal" and (close or passes(piece, bass))
            return "" if lawful else "six-four"
        return "fourth-vs-bass"
    if bass in (a, b) and interval in {(3, 6), (4, 6)}:
        return "diminished-root"
    slow = not piece.quick(a.voice) and not piece.quick(b.voice)
    return "all-consonant" if slow else "dissonance-struck"


def passes(piece: Piece, bass: Tone) -> bool:
    """Lehmann, lesson XI: a six-four over a bass that passes by step."""
    before, after = piece.before(bass), piece.after(bass)
    return before is not None and after is not None and step(before, bass) == step(bass, after) != 0


def licensed_fifth(piece: Piece, a: Tone, b: Tone, at: int) -> bool:
    """Fux, figs 123, 144, 151, 156: the bass has the leading tone at the close and a diminished fifth above it."""
    if piece.rules == "tonal" or piece.parts < 3 or simple(a, b) != (4, 6):
        return False
    low = min(a, b, key=lambda n: n.midi)
    after = piece.after(low)
    return (
        at >= piece.last_bar() - piece.bar_ticks
        and after is not None
        and move(low, after) == (1, 1)
        and after.midi % 12 == piece.final_pitch_class
    )


def off_the_beat(piece: Piece, at: int) -> Iterator[Finding]:
    sounding = piece.at(at)
    bass = lowest(sounding)
    notes = [n for n in sounding if n is not None]
    told: set[Tone] = set()
    for a, b in combinations(notes, 2):
        if agree(a, b, bass) or max(a.start, b.start) < at or licensed_fifth(piece, a, b, at):
            continue
        if a.start == at and b.start == at:
            if not lawful_clash(piece, a, b, sounding) and not passes_a_chord_note(piece, a, b, bass):
                yield piece.finding("clash-of-moving", at, at, a.voice, b.voice)
            continue
        new = a if a.start == at else b
        if new in told or against_suspension(piece, new, b if new is a else a, bass):
            continue
        told.add(new)
        rule = judge(piece, new)
        if rule:
            yield piece.finding(rule, at, at, new.voice)


def against_suspension(piece: Piece, new: Tone, held: Tone, bass: Tone | None) -> bool:
    """Whether a note agrees with the bass and clashes only with a suspension, which is the dissonance then (Fux, fig. 204)."""
    if held.start // piece.bar_ticks == new.start // piece.bar_ticks or not piece.quick(held.voice):
        return False
    return bass is not None and new is not bass and held is not bass and agree(new, bass, bass)


def lawful_clash(piece: Piece, a: Tone, b: Tone, sounding: tuple[Tone | None, ...]) -> bool:
    """Both move by step in contrary motion and each is lawful against what is held."""
    bass = lowest(sounding)
    ways = []
    for note in (a, b):
        before = piece.before(note)
        if before is None or not step(before, note):
            return False
        ways.append(step(before, note))
        for held in sounding:
            if held is not None and held not in (a, b) and not agree(note, held, bass) and judge(piece, note):
                return False
    return ways[0] != ways[1]


def passes_a_chord_note(piece: Piece, a: Tone, b: Tone, bass: Tone | None) -> bool:
    """Fux, fig. 204: one of the two agrees with all that is held, the other passes against it by step."""
    if piece.rules != "strict16" or bass is None:
        return False
    for passing, other in ((a, b), (b, a)):
        before, after = piece.before(passing), piece.after(passing)
        if before is None or after is None or bass in (a, b):
            continue
        if (
            step(before, passing) == step(passing, after) != 0
            and not agree(passing, bass, bass)
            and agree(other, bass, bass)
        ):
            return True
    return False


def consonant(piece: Piece, note: Tone) -> bool:
    sounding = piece.at(note.start)
    bass = lowest(sounding)
    return all(
        n is None or n is note or agree(n, note, bass) or against_suspension(piece, note, n, bass) for n in sounding
    )


def judge(piece: Piece, note: Tone) -> str:
    """The rule that a dissonance off the first beat breaks, or nothing."""
    before, after = piece.before(note), piece.after(note)
    bar_end = (note.start // piece.bar_ticks + 1) * piece.bar_ticks
    if note.end > bar_end:
        return tied_dissonance(piece, note, bar_end)
    if before is None:
        return "dissonance-weak"
    came = step(before, note)
    left = step(note, after) if after is not None else 0
    if came and left:
        return stepwise(piece, note, came, left)
    if part_of_double_neighbour(piece, note) or ornaments_a_suspension(piece, note):
        return ""
    if came and after is not None:
        return left_by_leap(piece, before, note, after)
    return "dissonance-weak"


def tied_dissonance(piece: Piece, note: Tone, over: int) -> str:
    sounding = piece.at(over)
    bass = lowest(sounding)
    clashes = any(n is not None and n is not note and n.start == over and not agree(n, note, bass) for n in sounding)
    if clashes:
        return ""  # told as a badly prepared suspension
    return "tie-value" if piece.species[note.voice] == "5" else "dissonance-weak"


def stepwise(piece: Piece, note: Tone, came: int, left: int) -> str:
    beat = piece.beat(note.start)
    if note.length >= piece.bar_ticks // 2:
        return "" if came == left or piece.rules != "strict16" else "dissonance-weak"
    if beat == 3.0:
        if came != left:
            return "dissonance-weak"
        before, after = piece.before(note), piece.after(note)
        assert before is not None
        assert after is not None
        return "" if consonant(piece, before) and consonant(piece, after) else "dissonance-weak"
    return ""


def left_by_leap(piece: Piece, before: Tone, note: Tone, after: Tone) -> str:
    """A dissonance reached by step and left by leap: lawful only as the second note of a cambiata."""
    came, leap = step(before, note), move(note, after)[0]
    quarter = note.length <= piece.bar_ticks // 4 and piece.beat(note.start) in {2.0, 4.0}
    if double_neighbour(piece, before, note, after):
        return "double-neighbour" if piece.rules == "strict16" else ""
    if not quarter or abs(leap) != 2 or (came > 0) != (leap > 0) or not consonant_start(piece, before):
        return "dissonance-left-by-leap"
    fourth = piece.after(after)
    whole = consonant(piece, after) and fourth is not None and step(after, fourth) == -came
    if not whole:
        return "cambiata-broken"
    if came > 0:
        return "cambiata" if piece.rules == "strict16" else ""
    fifth = piece.after(fourth) if fourth is not None else None
    if piece.rules == "strict16" and fifth is not None and fourth is not None and step(fourth, fifth) != 1:
        return "" if fux_cambiata(piece) else "cambiata-broken"
    return ""


def fux_cambiata(piece: Piece) -> bool:
    """Three of Fux's fifteen do not go on upwards."""
    return True


def consonant_start(piece: Piece, before: Tone) -> bool:
    return consonant(piece, before) or before.start % piece.bar_ticks > before.end % piece.bar_ticks


def double_neighbour(piece: Piece, first: Tone, second: Tone, third: Tone) -> bool:
    """Note, one neighbour, the other neighbour, the note again: the four quarters of a bar."""
    fourth = piece.after(third)
    if first.start // piece.bar_ticks != third.start // piece.bar_ticks:
        return False
    if fourth is None or fourth.midi != first.midi or fourth.place != first.place:
        return False
    return {step(first, second), step(first, third)} == {1, -1} and piece.strong(first.start)


def part_of_double_neighbour(piece: Piece, third: Tone) -> bool:
    """Whether this is the second neighbour, reached by the leap of a third."""
    second = piece.before(third)
    first = piece.before(second) if second is not None else None
    return first is not None and second is not None and double_neighbour(piece, first, second, third)


def ornaments_a_suspension(piece: Piece, note: Tone) -> bool:
    """The quarter between a held dissonance and its resolution is judged with the suspension."""
    before, after = piece.before(note), piece.after(note)
    if before is None or after is None or piece.beat(note.start) != 2.0 or piece.beat(after.start) != 3.0:
        return False
    return before.start // piece.bar_ticks < note.start // piece.bar_ticks and step(before, after) == -1


__all__ = ["BETWEEN_UPPER", "find"]
