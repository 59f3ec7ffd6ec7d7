"""Chords that strict counterpoint does not strike: six-four, diminished over its root, augmented."""

from __future__ import annotations

from trainer.rules.declare import SPECIES, Rule
from trainer.rules.species.dissonances import dissonance_finder

RULES = (
    Rule(
        id="six-four",
        sentence="No chord stands with a sixth and a fourth over its bass.",
        advice="put another note of the chord into the bass",
        source="Fux 1725; Cherubini 1835; Lehmann lesson XI (in passing, over a bass that moves by step)",
        find=dissonance_finder("six-four"),
        species=SPECIES,
        cases={"by-step": "over a bass that comes and goes by step"},
        bad=("species: 1; cantus: soprano; sing: bass :: D5 | C5 | B4 // F4 | E4 | D4 // D4 | G3 | B3",),
        good=("species: 1; cantus: soprano; sing: bass :: D5 | C5 | B4 // F4 | E4 | D4 // D4 | A3 | G3",),
    ),
    Rule(
        id="diminished-root",
        sentence="No diminished fifth or augmented fourth stands over the bass; a diminished triad has its third there.",
        advice="put the chord's third into the bass",
        source="Fux 1725; from memory. Fux figs 123, 144, 151, 156 have the fifth over a leading tone in the bass at the close",
        find=dissonance_finder("diminished-root"),
        species=SPECIES,
        cases={"close": "over the leading tone in the bass of the last bar but one"},
        bad=("species: 1; cantus: soprano; sing: bass :: E5 | F5 | E5 // C5 | D5 | C5 // A4 | B4 | A4",),
        good=("species: 1; cantus: soprano; sing: bass :: E5 | F5 | E5 // C5 | B4 | C5 // A4 | D4 | A4",),
    ),
    Rule(
        id="augmented-triad",
        sentence="No augmented triad is struck.",
        advice="take away the sign, or another note of the chord",
        source="from memory",
        find=dissonance_finder("augmented-triad"),
        species=SPECIES,
        bad=("species: 1; cantus: soprano; sing: bass :: E5 | C5 | E5 // B4 | G#4 | B4 // E4 | E4 | E4",),
        good=("species: 1; cantus: soprano; sing: bass :: E5 | C5 | E5 // B4 | G4 | B4 // E4 | E4 | E4",),
    ),
)
