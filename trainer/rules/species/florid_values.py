"""Which note values a florid line may have, and where. Fux 1725 by his figures; Lehmann lessons IX and X; a university's handout."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.declare import Fault, Rule, Settings
from trainer.rules.dissonance import RESTRUCK
from trainer.rules.piece import Piece
from trainer.rules.species._bars import FloridBar, florid_lines
from trainer.rules.suspension import consonant
from trainer.rules.texture import Tone

_FIFTH = frozenset({"5"})


def _values(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for _, bars in florid_lines(piece):
        for one in bars:
            for place, tone in one.struck:
                grid = one.bar.grid
                if 2 * tone.length < grid:
                    yield _at(tone, f"{tone.name} is shorter than an eighth")
                elif (place, tone.length) == (0, 4 * grid) and not one.bar.triple:
                    yield _at(tone, f"{tone.name} lasts a whole bar before the last one")
                elif (place, tone.length) == (0, 3 * grid) and not one.bar.triple:
                    yield _at(tone, f"{tone.name} opens the bar as a dotted half", "dotted-opening")


def _half_after_quarters(piece: Piece, settings: Settings) -> Iterator[Fault]:
    again = {(one.tone.voice, one.tone.place) for one in piece.dissonances if one.shape == RESTRUCK}
    for voice, bars in florid_lines(piece):
        for one in bars:
            half = one.at(4)
            after_quarters = [place for place, _ in one.struck[:3]] == [0, 2, 4] and not one.bar.triple
            if half is None or not after_quarters or half.end < one.bar.end:
                continue
            if half.end == one.bar.end and (voice, half.place + 1) not in again:
                says = f"{half.name} is a half note after two quarters and is not tied over"
                run = [piece.texture.lines[voice][half.place - back].dia - half.dia for back in (2, 1)]
                yield Fault(one.bar.on, half.on, (half,), says, "run-down" if run == [2, 1] else "")


def _half_on_two(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for _, bars in florid_lines(piece):
        for one in bars:
            tone = one.at(2)
            if tone is not None and tone.length >= 2 * one.bar.grid and not one.bar.triple:
                yield _at(tone, f"{tone.name} begins on the second quarter and lasts a half note or more")


def _eighths(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for voice, bars in florid_lines(piece):
        line, before = piece.texture.lines[voice], False
        for one in bars:
            pairs = _pairs(one)
            for group in pairs:
                first = group[0]
                says = _wrong_pair(piece, one, line, group)
                if says:
                    yield Fault(first.on, group[-1].on, tuple(group), says)
                elif first.place and abs(first.dia - line[first.place - 1].dia) > 1:
                    leapt = f"the eighth {first.name} is reached by leap"
                    yield Fault(first.on, group[-1].on, tuple(group), leapt, "leapt-to")
            if len(pairs) > 1:
                both = (*pairs[0], *pairs[-1])
                yield Fault(both[0].on, both[-1].on, both, "a second pair of eighths stands in the bar")
            elif pairs and before:
                yield _at(pairs[0][0], "two bars running have a pair of eighths", "two-bars")
            before = bool(pairs)


def _pairs(one: FloridBar) -> list[list[Tone]]:
    """Eighths side by side, as groups."""
    groups: list[list[Tone]] = []
    for _, tone in one.struck:
        if 2 * tone.length == one.bar.grid:
            if groups and groups[-1][-1].end == tone.on:
                groups[-1].append(tone)
            else:
                groups.append([tone])
    return groups


def _wrong_pair(piece: Piece, one: FloridBar, line: tuple[Tone, ...], group: list[Tone]) -> str:
    first, last = group[0], group[-1]
    place = 2 * (first.on - one.bar.on) // one.bar.grid
    if len(group) != 2:
        return f"{len(group)} eighths stand together, not two"
    if place not in (2, 6):
        return f"eighths begin on {first.name}, off the second and fourth quarter"
    if first.place == 0:
        return f"the eighth {first.name} is not reached by step"
    if last.place + 1 == len(line) or abs(line[last.place + 1].dia - last.dia) > 1:
        return f"the eighth {last.name} is not left by step"
    if not consonant(piece.texture, first) and not consonant(piece.texture, last):
        return f"the eighths {first.name} and {last.name} are both dissonant"
    return ""


def _tie_value(piece: Piece, settings: Settings) -> Iterator[Fault]:
    told = set()
    for one, broken in piece.breaches:
        if broken.rule == "tie-value":
            told.add((one.tone.voice, one.tone.place))
            line_end = piece.texture.bar_at(one.at).end
            says = f"{one.tone.name} is tied from a dissonance"
            yield Fault(one.at, line_end, (one.tone, *one.against), says, broken.case, whose=(one.tone.voice,))
    for voice, kind in enumerate(piece.species):
        if kind not in ("4", "5"):
            continue
        for tone in piece.texture.lines[voice]:
            bar = piece.texture.bar_at(tone.on)
            last = bar.end == piece.texture.bars[-1].on
            if tone.end <= bar.end or last or (tone.voice, tone.place) in told:
                continue
            first, second = bar.end - tone.on, tone.end - bar.end
            if second > first:
                yield Fault(tone.on, bar.end, (tone,), f"{tone.name} is tied from a shorter note into a longer one")


def _at(tone: Tone, says: str, case: str = "") -> Fault:
    return Fault(tone.on, tone.on, (tone,), says, case)


RULES = (
    Rule(
        id="florid-values",
        sentence="A florid line moves in halves, quarters and pairs of eighths; a whole note stands in the last bar only.",
        advice="break the note up, or tie it over",
        source="Fux 1725 by his figures (a dotted half begins tied 67 times, on the first beat 3 times)",
        find=_values,
        species=_FIFTH,
        cases={"dotted-opening": "a dotted half on the first beat"},
        bad=("species: 5; cantus: bass; sing: soprano :: . A4 | - G F E | F | D // D4 | E4 | A3 | D4",),
        good=("species: 5; cantus: bass; sing: soprano :: . A4 | - G F E | F - G F | D // D4 | E4 | A3 | D4",),
    ),
    Rule(
        id="florid-half-after-quarters",
        sentence="After two quarters a half note stands in the bar only if it is tied over.",
        advice="tie the half note over the bar line, or go on in quarters",
        source="a university's fifth-species handout; Lehmann lesson IX",
        find=_half_after_quarters,
        species=_FIFTH,
        cases={"run-down": "at the foot of three notes down by step"},
        bad=("species: 5; cantus: bass; sing: soprano :: . A4 | G E F - | F - - G | D // D4 | C4 | A3 | D4",),
        good=("species: 5; cantus: bass; sing: soprano :: . A4 | G F E - | - - F G | D // D4 | C4 | A3 | D4",),
    ),
    Rule(
        id="florid-half-on-2",
        sentence="No half note begins on the second quarter.",
        advice="begin it on the third quarter",
        source="common practice, no source; Lehmann lesson X allows it while other voices move faster",
        find=_half_on_two,
        species=_FIFTH,
        bad=("species: 5; cantus: bass; sing: soprano :: . A4 | G E - F | D // D4 | C4 | D4",),
        good=("species: 5; cantus: bass; sing: soprano :: . A4 | G - E F | D // D4 | C4 | D4",),
    ),
    Rule(
        id="florid-eighths",
        sentence="Eighths come in pairs, one pair a bar, on the second or fourth quarter, reached and left by step.",
        advice="put the pair on the second quarter, between steps",
        source="Fux 1725 (18 of 19 pairs begin on the second quarter, none on the first or third); Lehmann lesson IX (a leap to the pair)",
        find=_eighths,
        species=_FIFTH,
        cases={"two-bars": "in two bars running", "leapt-to": "the first of the two is reached by leap"},
        bad=(
            "species: 5; cantus: bass; sing: soprano :: . A4 | G,F E F G | D // D4 | C4 | D4",
            "species: 5; cantus: bass; sing: soprano :: . A4 | G E,F G F | D // D4 | C4 | D4",
            "species: 5; cantus: bass; sing: soprano :: . A4 | G F,E G F | D // D4 | C4 | D4",
        ),
        good=("species: 5; cantus: bass; sing: soprano :: . A4 | G F,E F G | D // D4 | C4 | D4",),
    ),
    Rule(
        id="tie-value",
        sentence="A tie goes from a note into one as long or shorter, and never begins on a dissonance.",
        advice="tie a half note into a half or a quarter",
        source="common practice, no source",
        find=_tie_value,
        species=frozenset({"4", "5"}),
        cases={"from-dissonance": "tied from a dissonance"},
        bad=(
            "species: 5; cantus: bass; sing: soprano :: . A4 | G F E F | - - G A | D // D4 | C4 | D4 | D4",
            "species: 5; cantus: bass; sing: soprano :: . A4 | G - F - | - E D C | D // D4 | E4 | F4 | D4",
        ),
        good=("species: 5; cantus: bass; sing: soprano :: . A4 | G - C5 - | - B A G | F // D4 | E4 | D4 | D4",),
    ),
)
