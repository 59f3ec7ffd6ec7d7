"""What a piece begins and ends on. Fux 1725; Cherubini 1835; Rockstro 1883; Bridge c. 1878, chapters 7 and 11."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.intervals import interval_words, name, perfect, simple
from trainer.rules.mode import Mode
from trainer.rules.piece import Piece
from trainer.rules.texture import Slice


def _opening(piece: Piece) -> Slice | None:
    """The first moment at which every voice sounds."""
    return next((one for one in piece.texture.slices if all(tone is not None for tone in one.tones)), None)


def _begins(piece: Piece, settings: Settings) -> Iterator[Fault]:
    first, mode = _opening(piece), piece.mode
    if piece.parts < 2 or first is None or mode is None or first.on >= piece.texture.bars[0].end:
        return
    says = _two_begin(piece, first, mode) if piece.parts == 2 else _triad(first, mode, "begins")
    if says:
        # the chord is heard from where two voices sound; one that enters after a rest joins it
        start = next((one.on for one in piece.texture.slices if len(one.sounding) > 1), first.on)
        yield Fault(start, first.on, tuple(first.sounding), says)


def _two_begin(piece: Piece, first: Slice, mode: Mode) -> str:
    upper, lower = first.sounding
    kind = perfect(upper, lower)
    # a fifth below the cantus would make the lower voice's note the final
    if not (kind in (1, 8) or (kind == 5 and piece.cantus != 0)):
        return f"it begins on {interval_words(name(upper, lower))}"
    if mode.said and not mode.is_final(lower):
        return f"the lowest voice begins on {lower.name}, not on {mode.final}"
    return ""


def _triad(chord: Slice, mode: Mode, verb: str) -> str:
    """What keeps a chord from being the final's own triad over the final."""
    if chord.bass is None or not mode.is_final(chord.bass):
        return f"the lowest voice {verb} on {chord.bass.name if chord.bass else 'a rest'}, not on {mode.final}"
    strangers = [tone.name for tone in chord.sounding if mode.degree(tone) not in (1, 3, 5)]
    return f"{', '.join(strangers)} does not belong to the triad on {mode.final}" if strangers else ""


def _ends(piece: Piece, settings: Settings) -> Iterator[Fault]:
    last, mode = piece.last_chord, piece.mode
    if last is None or last.bass is None or mode is None:
        return
    says = _triad(last, mode, "ends")
    upper = last.sounding[0]
    if piece.parts == 2 and not says and simple(last.bass, upper)[0] != 0:
        says = f"it ends on {interval_words(name(last.bass, upper))}"
    if says:
        yield Fault(last.on, last.on, tuple(last.sounding), says)


RULES = (
    Rule(
        id="starts-on",
        sentence="Two parts begin on a unison, fifth or octave (below the cantus no fifth); more begin on the triad of the final.",
        advice="begin on the final or, above the cantus, on its fifth",
        source="Fux 1725; Cherubini 1835; Bridge c. 1878, chapter 7",
        find=_begins,
        species=SPECIES,
        yields_to=("crossing-at-ends", "susp-prep"),
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
