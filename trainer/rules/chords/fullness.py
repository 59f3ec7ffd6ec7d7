"""Whether a chord has what it needs: its third, and all three of its notes."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.chords._downbeats import Downbeat, downbeats
from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.piece import Piece


def _third(piece: Piece, settings: Settings) -> Iterator[Fault]:
    if piece.parts < 3:
        return
    for beat in downbeats(piece):
        if not beat.over & {2, 5}:
            names = " ".join(tone.name for tone in reversed(beat.tones))
            yield Fault(beat.bar.on, beat.bar.on, beat.tones, f"{names} has neither third nor sixth over the bass")


def full(over: frozenset[int]) -> bool:
    """Whether letters over the bass hold a whole 5/3 or 6/3."""
    return over >= {2, 4} or over >= {2, 5}


def _complete(piece: Piece, settings: Settings) -> Iterator[Fault]:
    if piece.parts < 3:
        return
    beats = list(downbeats(piece))
    if piece.parts == 3:
        yield from _share(piece, beats, settings.number("share"))
        return
    case = "fourth-species" if "4" in piece.species else ""
    for beat in beats:
        if not full(beat.over) and not _later(piece, beat):
            missing = "fifth" if 2 in beat.over else "third"
            names = " ".join(tone.name for tone in reversed(beat.tones))
            yield Fault(beat.bar.on, beat.bar.on, beat.tones, f"{names} lacks its {missing}", case)


def _later(piece: Piece, beat: Downbeat) -> bool:
    """Whether the chord is filled up on the third beat."""
    if beat.bar.triple:
        return False
    now = piece.texture.slice_at(beat.bar.on + 2 * beat.bar.grid)
    if now is None or now.bass is None:
        return False
    return full(frozenset((tone.dia - now.bass.dia) % 7 for tone in now.sounding))


def _share(piece: Piece, beats: list[Downbeat], least: int) -> Iterator[Fault]:
    complete = sum(full(beat.over) for beat in beats)
    if beats and 100 * complete < least * len(beats):
        says = f"{complete} of {len(beats)} chords have all three notes"
        tones = (*beats[0].tones, *beats[-1].tones)
        yield Fault(beats[0].bar.on, beats[-1].bar.on, tones, says, "share")


RULES = (
    Rule(
        id="third-present",
        sentence="On the strong beat some voice has the third or the sixth over the bass.",
        advice="give one of the doubled notes to the third",
        source="Cherubini 1835; Bridge, Counterpoint",
        find=_third,
        species=SPECIES,
        yields_to=(
            "six-four",
            "fourth-vs-bass",
            "diminished-root",
            "all-consonant",
            "dissonance-struck",
            "augmented-triad",
            "susp-resolve-down",
            "susp-prep",
            "double-suspended",
            "susp-note-anticipated",
        ),
        bad=("species: 1; cantus: alto; sing: soprano :: F4 | A | E // D4 | A3 | C // D3 | D | C",),
        good=("species: 1; cantus: alto; sing: soprano :: F4 | F | E // D4 | A3 | C // D3 | D | C",),
    ),
    Rule(
        id="chord-complete",
        sentence="Chords have all three notes: in four parts on the first beat or else the third, in three as often as may be.",
        advice="give a doubled note to the one that is missing",
        source="Cherubini 1835, rule 62; Bridge, Counterpoint, chapters 8, 11 and 12; three parts: counted in Fux 1725",
        find=_complete,
        species=SPECIES,
        cases={"share": "three parts, over the whole exercise", "fourth-species": "four parts with a tied voice"},
        parameters={"share": "50"},
        yields_to=("third-present", "six-four"),
        bad=(
            "species: 1; cantus: alto; sing: soprano :: F4 | F | G | F // D4 | D | G | D // A3 | F | C4 | A3 // D3 | D | E | D",
            "species: 1; cantus: alto; sing: soprano :: F4 | F | C5 | F // D4 | D | A3 | D // D3 | D | A2 | D3",
        ),
        good=(
            "species: 1; cantus: alto; sing: soprano :: F4 | F | G | F // D4 | D | E | D // A3 | A | C4 | A3 // D3 | D | C | D",
        ),
    ),
)
