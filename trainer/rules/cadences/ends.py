"""What a piece begins and ends on. Fux 1725; Cherubini 1835; Rockstro 1883; Bridge c. 1878, chapters 7 and 11."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.intervals import name, perfect, simple
from trainer.rules.piece import Piece
from trainer.rules.texture import Slice


def _opening(piece: Piece) -> Slice | None:
    """The first moment at which every voice sounds."""
    return next((one for one in piece.texture.slices if all(tone is not None for tone in one.tones)), None)


def _begins(piece: Piece, settings: Settings) -> Iterator[Fault]:
    first, mode = _opening(piece), piece.mode
    if first is None or first.bass is None or mode is None or first.on >= piece.texture.bars[0].end:
        return
    if piece.parts == 2:
        upper, lower = first.sounding
        kind = perfect(upper, lower)
        # a fifth below the cantus would make the lower voice's note the final
        above = piece.cantus != 0
        if not (kind in (1, 8) or (kind == 5 and above)):
            yield Fault(first.on, first.on, (upper, lower), f"it begins on a {name(upper, lower)}")
        elif mode.said and not mode.is_final(lower):
            yield Fault(first.on, first.on, (lower,), f"the lowest voice begins on {lower.name}, not on {mode.final}")
        return
    if not mode.is_final(first.bass):
        says = f"the lowest voice begins on {first.bass.name}, not on {mode.final}"
        yield Fault(first.on, first.on, (first.bass,), says)
        return
    for tone in first.sounding:
        if mode.degree(tone) not in (1, 3, 5):
            says = f"{tone.name} does not belong to the triad on {mode.final}"
            yield Fault(first.on, first.on, (tone, first.bass), says)


def _ends(piece: Piece, settings: Settings) -> Iterator[Fault]:
    last, mode = piece.last_chord, piece.mode
    if last is None or last.bass is None or mode is None:
        return
    if not mode.is_final(last.bass):
        says = f"the lowest voice ends on {last.bass.name}, not on {mode.final}"
        yield Fault(last.on, last.on, (last.bass,), says)
        return
    for tone in last.sounding:
        letters = simple(last.bass, tone)[0]
        if piece.parts == 2 and letters != 0:
            yield Fault(last.on, last.on, (tone, last.bass), f"it ends on a {name(last.bass, tone)}")
        elif letters not in (0, 2, 4):
            says = f"{tone.name} does not belong to the triad on {mode.final}"
            yield Fault(last.on, last.on, (tone, last.bass), says)


RULES = (
    Rule(
        id="starts-on",
        sentence="Two parts begin on a unison, fifth or octave (below the cantus no fifth); more begin on the triad of the final.",
        advice="begin on the final or, above the cantus, on its fifth",
        source="Fux 1725; Cherubini 1835; Bridge c. 1878, chapter 7",
        find=_begins,
        species=SPECIES,
        bad=(
            "mode: D dorian; species: 1; cantus: bass; sing: soprano :: F4 | A // D4 | F",
            "mode: D dorian; species: 1; cantus: soprano; sing: bass :: D4 | F // G3 | D",
            "mode: D dorian; species: 1; cantus: soprano; sing: bass :: D4 | F // B3 | A // G3 | D",
        ),
        good=(
            "mode: D dorian; species: 1; cantus: bass; sing: soprano :: A4 | A // D4 | F",
            "mode: D dorian; species: 1; cantus: soprano; sing: bass :: D4 | F // A3 | A // D3 | D",
        ),
    ),
    Rule(
        id="ends-on",
        sentence="Two parts end on a unison or octave; more end with the final in the bass, and its third and fifth over it.",
        advice="end every voice on the final, or on its third or fifth where there are three parts or more",
        source="Fux 1725; Cherubini 1835; Rockstro 1883",
        find=_ends,
        species=SPECIES,
        yields_to=("all-consonant", "fourth-vs-bass", "six-four", "diminished-root"),
        bad=(
            "mode: D dorian; species: 1; cantus: bass; sing: soprano :: C#5 | A4 // E4 | D",
            "mode: D dorian; species: 1; cantus: soprano; sing: bass :: E4 | D // C#4 | D // A3 | G",
        ),
        good=(
            "mode: D dorian; species: 1; cantus: bass; sing: soprano :: C#5 | D // E4 | D",
            "mode: D dorian; species: 1; cantus: soprano; sing: bass :: E4 | D // C#4 | D // A3 | D",
        ),
    ),
)
