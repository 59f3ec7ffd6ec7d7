"""How the last step into the final is made. Fux 1725 by his figures; Rockstro 1883; Bridge c. 1878, chapters 9 and 12."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.mode import Mode
from trainer.rules.piece import Piece
from trainer.rules.texture import Tone, joined


def _last_moves(piece: Piece) -> list[tuple[Tone, Tone]]:
    """By voice: its last note but one and its last, where no rest parts them."""
    return [(line[-2], line[-1]) for line in piece.texture.lines if len(line) > 1 and joined(line[-2], line[-1])]


def _falls(mode: Mode, move: tuple[Tone, Tone]) -> bool:
    return mode.is_final(move[1]) and move[0].dia - move[1].dia == 1


def _rises(mode: Mode, move: tuple[Tone, Tone]) -> bool:
    return mode.is_final(move[1]) and move[1].dia - move[0].dia == 1


def _clausula(piece: Piece, settings: Settings) -> Iterator[Fault]:
    mode, moves = piece.mode, _last_moves(piece)
    if mode is None or piece.last_chord is None or not moves:
        return
    falling = [move for move in moves if _falls(mode, move)]
    rising = [move for move in moves if _rises(mode, move)]
    tones = tuple(tone for move in moves for tone in move)
    at, to = max(move[0].on for move in moves), piece.last_chord.on
    if piece.parts == 2 and not falling:
        yield Fault(at, to, tones, f"no voice falls by step to {mode.final}")
    elif piece.parts == 2 and not rising:
        yield Fault(at, to, tones, f"no voice rises by step to {mode.final}")
    elif not rising and not _plagal(mode, piece):
        yield Fault(at, to, tones, f"no voice rises by step to {mode.final}", "no-leading-tone")
    for before, final in rising:
        semitones = final.midi - before.midi
        if mode.name == "phrygian" and semitones == 1:
            yield Fault(
                before.on, to, (before, final), f"{before.name} is raised where the final is reached from above"
            )
        elif mode.name != "phrygian" and semitones == 2:
            says = f"{before.name} is not raised to lead into {final.name}"
            yield Fault(before.on, to, (before, final, *(tone for move in falling for tone in move)), says, "unraised")


def _plagal(mode: Mode, piece: Piece) -> bool:
    """Whether a Phrygian piece closes from its fourth degree in the bass."""
    bass = piece.texture.lines[-1]
    return mode.name == "phrygian" and len(bass) > 1 and mode.degree(bass[-2]) == 4


def _leading_tone(piece: Piece, settings: Settings) -> Iterator[Fault]:
    mode = piece.mode
    if mode is None:
        return
    for before, after in _last_moves(piece):
        if not mode.is_leading(before) or (after.dia - before.dia == 1 and mode.is_final(after)):
            continue
        inner = 0 < before.voice < piece.parts - 1
        case = "inner-third" if inner and after.dia - before.dia == -2 else ""
        yield Fault(
            before.on, after.on, (before, after), f"{before.name} goes to {after.name}, not up to {mode.final}", case
        )


def _bass_step(piece: Piece, settings: Settings) -> Iterator[Fault]:
    mode, bar, bass = piece.mode, piece.penultimate, piece.parts - 1
    step = next((move for move in _last_moves(piece) if move[0].voice == bass), None)
    if mode is None or bar is None or piece.parts < 3 or piece.cantus != bass or step is None or not _falls(mode, step):
        return
    asked = settings.words("close")
    for voice, kind in enumerate(piece.species):
        if kind not in ("4", "5"):
            continue
        figures = [one.figure for one in piece.suspensions if one.held.voice == voice and bar.on <= one.at < bar.end]
        if not set(figures) & set(asked):
            tone = piece.texture.tone_at(voice, bar.on) or step[0]
            says = f"no {' or '.join(asked)} stands over {step[0].name} before the end"
            yield Fault(bar.on, bar.on, (tone, step[0]), says, whose=(voice,))


RULES = (
    Rule(
        id="clausula",
        sentence="At the close one voice falls by step to the final and, in two parts, the other rises to it by step.",
        yields_to=("ends-on", "crossing-at-ends"),
        advice="over a falling cantus go from the sixth to the octave, under it from the third to the unison; raise the seventh degree, "
        "but not in Phrygian",
        source="Fux 1725; Rockstro 1883; a university's species grading guide",
        find=_clausula,
        species=SPECIES,
        cases={
            "unraised": "the leading tone is not raised",
            "no-leading-tone": "three parts or more, none rises by step to the final",
        },
        bad=(
            "mode: D dorian; species: 1; cantus: bass; sing: soprano :: A4 | G4 | D // D4 | E | D",
            "mode: D dorian; species: 1; cantus: bass; sing: soprano :: A4 | C5 | D // D4 | E | D",
            "mode: E phrygian; species: 1; cantus: bass; sing: soprano :: B4 | D#5 | E // E4 | F | E",
        ),
        good=(
            "mode: D dorian; species: 1; cantus: bass; sing: soprano :: A4 | C#5 | D // D4 | E | D",
            "mode: E phrygian; species: 1; cantus: bass; sing: soprano :: B4 | D5 | E // E4 | F | E",
            "mode: F lydian; species: 1; cantus: bass; sing: soprano :: A4 | E5 | F // F4 | G | F",
        ),
    ),
    Rule(
        id="leading-tone-goes-up",
        sentence="The leading tone rises to the final at the close.",
        advice="let it rise by step",
        source="Rockstro 1883; a university's species grading guide",
        find=_leading_tone,
        yields_to=("ends-on", "clausula"),
        species=SPECIES,
        cases={"inner-third": "an inner voice falls a third to the fifth"},
        bad=("mode: D dorian; species: 1; cantus: soprano; sing: alto :: E5 | D // C#5 | A // A3 | D",),
        good=("mode: D dorian; species: 1; cantus: soprano; sing: alto :: E5 | D // C#5 | D // A3 | D",),
    ),
    Rule(
        id="cadence-suspension-bass-step",
        sentence="Over a cantus that falls by step in the bass a tied voice closes with 7-6, or with 4-3 inside the sixth chord.",
        advice="hold the final into the last bar but one and let it fall to the leading tone, or the fifth and let it fall to the fourth",
        source="Fux 1725 (7-6 in figs 143, 150, 195, 202, 204); Bridge c. 1878, chapters 9 and 12 (4-3, the weaker choice)",
        find=_bass_step,
        species=frozenset({"4", "5"}),
        parameters={"close": "7-6,4-3"},
        bad=(
            "mode: D dorian; species: 4; cantus: bass; sing: soprano :: . A4 | B4 C#5 | D // A4 | G | A // D3 | E | D",
        ),
        good=(
            "mode: D dorian; species: 4; cantus: bass; sing: soprano :: . D5 | - C# | D // A4 | G | A // F3 | E | D",
            "mode: D dorian; species: 4; cantus: bass; sing: alto :: D5 | C# | D // . A4 | - G | F# // F3 | E | D",
        ),
    ),
)
