"""Which notes of a chord may be sung by two voices at once."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.chords._downbeats import downbeats
from trainer.rules.declare import EVERY, SPECIES, Fault, Rule, Settings
from trainer.rules.intervals import MAJOR_THIRD, simple
from trainer.rules.mode import Mode
from trainer.rules.piece import Piece
from trainer.rules.texture import Slice, Tone


def _pairs(piece: Piece, now: Slice) -> Iterator[tuple[Tone, Tone]]:
    """Every two voices with one note, in whatever octaves, of which at least one begins here."""
    for upper, lower in piece.texture.pairs:
        a, c = now.tones[upper], now.tones[lower]
        if a is not None and c is not None and (a.letter, a.alter) == (c.letter, c.alter) and max(a.on, c.on) == now.on:
            yield a, c


def _tendency(piece: Piece, settings: Settings) -> Iterator[Fault]:
    mode = piece.mode
    if mode is None:
        return
    for now in piece.texture.slices:
        if now.end >= piece.texture.end:
            continue  # the third of the last chord may be raised, and has its own rule
        for a, c in _pairs(piece, now):
            case = _tendency_case(piece, mode, now, a, settings)
            if case:
                case = "passing" if _passes(piece, now, a, c) else case
                yield Fault(now.on, now.on, (a, c), f"{a.name} and {c.name} double {_WORDS[case]}", case)


_WORDS = {
    "leading": "the leading note",
    "inflected": "an altered note",
    "seventh": "the seventh of a chord",
    "passing": "a note that wants to go on, one of them in passing",
}


def _tendency_case(piece: Piece, mode: Mode, now: Slice, tone: Tone, settings: Settings) -> str:
    chord = piece.chord(now)
    if mode.is_leading(tone):
        degree = (chord.root - mode.letter) % 7 + 1 if chord is not None else 0
        close = piece.penultimate is not None and now.on >= piece.penultimate.on
        tonal = settings.words("natural") == ("dominant",) and mode.name in ("major", "ionian")
        wanted = degree in (5, 7) if tonal else close
        if mode.inflected(tone) or wanted:
            return "leading"
    if tone.alter > mode.natural(tone.letter) and not (mode.name == "minor" and mode.degree(tone) == 6):
        return "inflected"
    if piece.parts > 3 and chord is not None and chord.seventh == tone.letter and 3 in chord.members.values():
        return "seventh"
    return ""


def _passes(piece: Piece, now: Slice, a: Tone, c: Tone) -> bool:
    """Whether one passes under or over the other, which is held or comes by step the other way."""
    struck = [tone for tone in (a, c) if tone.on == now.on]
    before = [piece.texture.before(tone) for tone in struck]
    moves = [tone.dia - other.dia if other is not None else 0 for tone, other in zip(struck, before, strict=True)]
    contrary = len(moves) == 1 or moves in ([1, -1], [-1, 1])
    return contrary and any(_passing(piece, now, tone) for tone in struck)


def _passing(piece: Piece, now: Slice, tone: Tone) -> bool:
    """Off the first beat, reached and left by step in one direction, and short."""
    before, after = piece.texture.before(tone), piece.texture.after(tone)
    bar = piece.texture.bar_at(now.on)
    if now.on == bar.on or tone.on != now.on or before is None or after is None:
        return False
    return tone.dia - before.dia == after.dia - tone.dia and abs(tone.dia - before.dia) == 1


def _third(piece: Piece, settings: Settings) -> Iterator[Fault]:
    if piece.parts < 3:
        return
    for beat in downbeats(piece):
        thirds = [tone for tone in beat.tones if simple(tone, beat.bass) == MAJOR_THIRD]
        if len(thirds) > 1 and 5 not in beat.over:
            leading = piece.mode is not None and piece.mode.is_leading(thirds[0])
            says = f"{' and '.join(tone.name for tone in thirds)} double the major third over {beat.bass.name}"
            yield Fault(beat.bar.on, beat.bar.on, tuple(thirds), says, "leading" if leading else "")


def _bass_of_six(piece: Piece, settings: Settings) -> Iterator[Fault]:
    if piece.parts < 3 or piece.mode is None:
        return
    for beat in downbeats(piece):
        if 5 not in beat.over or 4 in beat.over:
            continue
        others = [tone for tone in beat.tones if tone is not beat.bass and tone.letter == beat.bass.letter]
        degree = piece.mode.degree(beat.bass)
        if others and degree not in (2, 4):
            says = f"{others[0].name} doubles {beat.bass.name}, the bass of a sixth chord"
            case = {3: "third-degree", 7: "seventh-degree"}.get(degree, "")
            yield Fault(beat.bar.on, beat.bar.on, (*others, beat.bass), says, case)


def _tritone(piece: Piece, settings: Settings) -> Iterator[Fault]:
    if piece.parts < 3:
        return
    for now in piece.texture.slices:
        chord = piece.chord(now)
        if chord is None or chord.quality != "diminished" or chord.inversion != 1:
            continue
        for a, c in _pairs(piece, now):
            if chord.members.get(a.letter) in (1, 5):
                yield Fault(now.on, now.on, (a, c), f"{a.name} and {c.name} double a note of the tritone")


def _suspended(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for one in piece.suspensions if piece.parts > 2 else ():
        now, tone = piece.texture.slice_at(one.at), one.held
        if now is None or tone.on >= one.at or one.resolution is None or one.resolution.dia != tone.dia - 1:
            continue
        for other in now.sounding:
            if other is not tone and (other.letter, other.alter) == (tone.letter, tone.alter):
                says = f"{other.name} sounds beside {tone.name}, which is suspended"
                yield Fault(one.at, one.resolution.on, (tone, other), says)


RULES = (
    Rule(
        id="double-tendency",
        sentence="A leading note, an altered note or the seventh of a chord is not doubled.",
        advice="double the note on which the chord stands instead",
        source="a university part-writing rubric; Lehmann, lesson VIII (passing doublings)",
        find=_tendency,
        species=EVERY,
        cases={
            "leading": "the leading note",
            "inflected": "an altered note",
            "seventh": "the seventh of a chord",
            "passing": "one of the two is a passing note off the strong beat",
        },
        parameters={"natural": "dominant"},
        bad=(
            "mode: D dorian :: A4 | C#5 | D // F4 | C# | D // D3 | A | D",
            "mode: C major :: F5 | E // B4 | C5 // F4 | E // G3 | C",
        ),
        good=("mode: D dorian :: A4 | C#5 | D // F4 | E | D // D3 | A | D",),
    ),
    Rule(
        id="double-third",
        sentence="The major third of a chord is not doubled on the strong beat.",
        advice="double the root",
        source="Cherubini 1835; Bridge, Counterpoint, chapters 7 and 11",
        find=_third,
        species=SPECIES,
        cases={"leading": "it is the leading note"},
        yields_to=("double-tendency",),
        bad=("species: 1; cantus: alto; sing: soprano :: C5 | A | C // A4 | A3 | G // F3 | F | E",),
        good=("species: 1; cantus: alto; sing: soprano :: C5 | F | C // A4 | A3 | G // F3 | F | E",),
    ),
    Rule(
        id="double-bass-6",
        sentence="The bass of a sixth chord is better not doubled, except on the second and fourth degree.",
        advice="double the sixth or the third over it",
        source="Cherubini 1835; counted in Fux 1725",
        find=_bass_of_six,
        species=SPECIES,
        cases={"third-degree": "on the third degree", "seventh-degree": "on the seventh degree"},
        yields_to=("double-tendency", "tritone-doubled"),
        bad=("mode: C ionian; species: 1; cantus: alto; sing: soprano :: C5 | C | D // G4 | E | G // C4 | E3 | B",),
        good=("mode: C ionian; species: 1; cantus: alto; sing: soprano :: C5 | C | D // G4 | G | G // C4 | E3 | B",),
    ),
    Rule(
        id="tritone-doubled",
        sentence="In the sixth chord of a diminished triad neither note of the tritone is doubled.",
        advice="double the bass",
        source="from memory",
        find=_tritone,
        yields_to=("double-tendency",),
        bad=("mode: C major :: F5 | E // F4 | E // B3 | C // D3 | C",),
        good=("mode: C major :: F4 | E // D4 | C // B3 | C // D3 | C",),
    ),
    Rule(
        id="double-suspended",
        sentence="A suspended note is not doubled.",
        advice="give the doubling voice another note of the chord",
        source="Bridge, Counterpoint, chapters 9 and 12",
        find=_suspended,
        bad=("A4 D5 | - C | D5 // F4 | D | F // D3 | E | D",),
        good=("A4 D5 | - C | D5 // F4 | G | F // D3 | E | D",),
    ),
)
