"""In which circumstance a rule finds what, place by place: exactly these faults of a rule and no other, whatever a set makes of them."""

from __future__ import annotations

import pytest
from written import score

from trainer.rules.declare import Settings
from trainer.rules.piece import Piece
from trainer.rules.registry import all_rules

RULES = all_rules()
ONE = "species: 1; mode: D dorian; cantus: bass; sing: soprano ::"
TWO = "species: 2; mode: D dorian; cantus: bass; sing: soprano ::"
THREE = "species: 3; mode: D dorian; cantus: bass; sing: soprano ::"
FOUR = "species: 4; mode: D dorian; cantus: bass; sing: soprano ::"
FIVE = "species: 5; mode: D dorian; cantus: bass; sing: soprano ::"
ALTO = "species: 1; mode: D dorian; cantus: alto; sing: soprano ::"
ABOVE = "species: 1; mode: D dorian; cantus: soprano; sing: alto ::"
FOURS = "species: 1; mode: D dorian; cantus: alto; sing: soprano ::"
MAJOR = "mode: C major; species: 1; cantus: soprano; sing: bass ::"
FREE = "species: free; mode: D dorian ::"

# rule, score, (bar of the first moment, bar of the last, case) of every fault
CASES = [
    # one interval
    ("sixth-leap", f"{ONE} C5 | E4 | F | D | E | C5 // A3 | C | D | F | A | A", [(1, 2, "minor-down-turned")]),
    ("sixth-leap", f"{ONE} C5 | E4 | D | C | A4 | G // A3 | C | D | F | A | B", [(1, 2, "minor-down"), (4, 5, "")]),
    ("sixth-leap", f"{ONE} E4 | C5 | B | A // A3 | E | D | D", []),
    (
        "seventh-ninth-leap",
        f"{ONE} D4 | C5 | . | D4 | E5 // D3 | E | D | F | G",
        [(1, 2, ""), (2, 4, "over-rest"), (4, 5, "")],
    ),
    ("augmented-leap", f"{ONE} F4 | B | . | F4 | E // D3 | E | D | F | G", [(1, 2, "")]),
    ("diminished-leap", f"{ONE} B4 | F5 | E | B4 | F5 | G // D3 | D | A | G | A | B", [(1, 2, "turned"), (4, 5, "")]),
    ("leap-size", f"{ONE} C#5 | Eb | F | Eb6 // A3 | C | D | C", [(1, 2, "")]),
    ("chromatic-step", f"{ONE} B4 | Bb | A | Bb | . | B // G3 | G | F | D | D | G", [(1, 2, "")]),
    # runs
    ("tritone-outline", f"{ONE} A4 | F | G | A | B | G | A // D3 | D | E | D | G | E | D", [(2, 5, "")]),
    ("tritone-outline", f"{ONE} A4 | E | F | G | A | B | A // D3 | C | D | E | D | G | D", []),
    ("tritone-outline", f"{ONE} A4 | F | G | A | B | C5 | A // D3 | D | E | D | G | A | D", []),
    ("tritone-outline", f"{ONE} A4 | B | C5 | D | E | F | D // D3 | G | A | B | C | D | D", []),
    ("tritone-outline", f"{ONE} C5 | B | C | D | F | E // A3 | G | A | B | D | C", [(2, 5, "diminished-fifth")]),
    ("tritone-outline", f"{ONE} A4 | F | G | G | B | A // D3 | D | E | G | G | D", [(2, 5, "")]),
    (
        "tritone-outline",
        f"{ALTO} A4 | A | A | D5 // D4 | E | F | D // F4 | A | B | A // D3 | C | D | D",
        [(1, 3, "whole-inner")],
    ),
    ("seventh-outline", f"{ONE} D4 | F | G | C5 | B // D3 | D | E | A | G", [(1, 4, "")]),
    ("seventh-outline", f"{ONE} D4 | F | A | E5 | D // D3 | D | A | C | B", [(1, 4, "")]),
    ("seventh-outline", f"{ONE} D4 | E | F | G | A | C5 | B // D3 | C | D | E | D | A | G", []),
    # what follows
    (
        "two-leaps-same-way",
        f"{ONE} D4 | F | A | F | A | C5 | B // D3 | D | D | D | F | A | G",
        [(1, 3, "triad"), (4, 6, "triad")],
    ),
    ("two-leaps-same-way", f"{ONE} D4 | G | C5 | B // D3 | E | A | G", [(1, 3, "seventh")]),
    ("two-leaps-same-way", f"{ONE} D4 | A4 | E5 | D // D3 | F | C | B", [(1, 3, "over-octave")]),
    ("two-leaps-same-way", f"{ONE} D4 | A4 | D5 | C // D3 | F | B | A", [(1, 3, "octave")]),
    (
        "two-leaps-same-way",
        f"{ONE} D4 | G | D5 | A | D4 | E // D3 | E | B | D | B | C",
        [(1, 3, "octave-uneven"), (3, 5, "octave-uneven")],
    ),
    ("two-leaps-same-way", f"{ONE} D5 | A4 | D4 | E | C5 | A // D3 | F | B | C | A | D", [(1, 3, "octave-uneven")]),
    ("two-leaps-same-way", f"{ONE} E4 | G | E5 | D // C3 | E | C | B", [(1, 3, "")]),
    (
        "two-leaps-same-way",
        "species: 1; mode: D dorian; cantus: soprano; sing: bass :: A4 | G | G | A | A | F // D3 | G | C4 | D3 | G | D4",
        [(1, 3, "seventh-bass"), (4, 6, "octave-uneven-bass")],
    ),
    ("three-leaps", f"{ONE} D4 | F | D | F | E | G | E | F // D3 | D | F | D | C | E | C | D", [(1, 4, "")]),
    ("three-leaps", f"{ONE} D4 | F | D | E | G | F // D3 | D | F | C | E | D", []),
    ("three-leaps", f"{ONE} D4 | E | C | F | D | A4 // D3 | C | E | D | F | D", [(2, 6, "")]),
    ("larger-below", f"{ONE} D4 | F | B | A | D4 | B3 // D3 | D | G | F | B | G", [(1, 3, ""), (4, 6, "")]),
    ("larger-below", f"{ONE} D4 | G | B | A | F | B3 // D3 | E | G | F | D | G", []),
    ("leap-recovery", f"{ONE} D4 | A4 | G | D | D5 | B | A // D3 | F | E | B | D | G | F", [(4, 6, "third")]),
    ("leap-recovery", f"{ONE} D4 | A4 | B | A // D3 | F | G | D", [(1, 3, "goes-on")]),
    ("leap-recovery", f"{ONE} E4 | C5 | D | E // C3 | A | B | C", [(1, 3, "wide-goes-on")]),
    ("leap-recovery", f"{ONE} D4 | A4 | A | G | D5 | A // D3 | F | F | E | B | D", [(1, 3, "loose"), (4, 6, "loose")]),
    ("leap-recovery", f"{ALTO} E4 | C5 | D | E // C4 | E | F | G // C3 | A | D | C", [(1, 3, "goes-on")]),
    ("leap-recovery", f"{ONE} D4 | G | A | B // D3 | E | D | G", []),
    ("leap-after-run", f"{THREE} D4 E F G | C5 B A G | F // D4 | A3 | D", [(1, 2, "")]),
    ("leap-after-run", f"{THREE} D4 E F G | A B E5 D | C // D4 | A3 | A", [(1, 2, "")]),
    ("leap-after-run", f"{THREE} D4 E F G | A D5 C B | A // D4 | F | F", []),
    ("leap-after-run", f"{THREE} D4 F G A | D5 C B A | B // D4 | F3 | G", []),
    # the same again
    ("repeated-note", f"{ONE} A4 | A | G | G | G | G | F // D3 | F | E | C | E | C | D", [(1, 2, ""), (3, 6, "many")]),
    ("repeated-note", f"{TWO} A4 A | G E | E F | G // D3 | C | C | E", [(1, 1, "moving"), (2, 3, "moving")]),
    ("repeated-note", f"{ALTO} A4 | A | G // F4 | F | E // A3 | A | C // D3 | F | C", [(1, 2, ""), (1, 2, "inner")]),
    ("repeated-note", f"{FIVE} . A4 | - G G A | B // D3 | B2 | G", []),
    ("repeated-note", f"{FIVE} . A4 | - A G - | F // D3 | B2 | D", []),
    ("repeated-note", f"{FIVE} . A4 | A - G - | F // D3 | B2 | D", []),
    ("repeated-note", f"{FIVE} . A4 | - F F G | A // D3 | D | D", [(2, 2, "moving")]),
    ("trill-figure", f"{THREE} A4 B A B | A G F E | D // D4 | D | D", [(1, 1, "")]),
    ("trill-figure", f"{THREE} A4 B A G | A G A B | C5 // D4 | D | A3", [(1, 2, "")]),
    ("sequence", f"{TWO} D4 E | F D | E F | G E | D // D3 | D | C | C | D", [(1, 4, "")]),
    ("sequence", f"{TWO} D4 E | F D | D E | F D | D // D3 | D | D | D | D", []),
    ("sequence", f"{TWO} D4 E | F D | F E | D F | D // D3 | D | D | D | D", []),
    # the whole line
    ("range-tenth", f"{ONE} C4 | G4 | E5 | D // C3 | E | C | B", []),
    ("range-tenth", f"{ONE} C4 | G4 | F5 | D // C3 | E | D | B", [(1, 3, "")]),
    ("single-climax", f"{ONE} A4 | C5 | B | C | A // D3 | E | G | A | B", [(2, 4, "")]),
    ("single-climax", f"{ABOVE} A4 | B | A // D4 | F | F // D3 | D | E", [(2, 3, "inner")]),
    ("single-nadir", f"{ONE} A4 | C5 | A | B // D3 | E | F | G", [(1, 3, "")]),
    ("climax-together", f"{ALTO} A4 | D5 | B // D4 | F | E // A3 | B | G", [(2, 2, ""), (2, 2, "outer"), (2, 2, "")]),
    ("climax-together", f"{ONE} A4 | D5 | B // D3 | F | G", []),
    ("static-range", f"{ONE} A4 | B | C5 | D | C | B | E // A3 | G | A | F | A | G | C", [(1, 6, "")]),
    ("static-range", f"{ONE} A4 | B | C5 | D | C | E | F // A3 | G | A | F | C | C | D", []),
    ("step-share", f"{ONE} D4 | F | A | F | A | C5 | A | F | G // D3 | D | D | D | F | A | D | D | E", [(1, 9, "")]),
    # altered notes
    (
        "minor-6-7",
        "mode: A minor; species: 1; cantus: bass; sing: soprano :: E4 | F | G | A // C3 | D | E | F",
        [(2, 3, ""), (3, 4, "")],
    ),
    (
        "minor-6-7",
        "mode: A minor; species: 1; cantus: bass; sing: soprano :: A4 | G# | E | F# | G# | A // F3 | E | C | D | E | F",
        [],
    ),
    (
        "minor-6-7",
        "mode: A minor; species: 1; cantus: bass; sing: soprano :: A4 | G# | C5 | B // F3 | E | A | G",
        [(2, 3, "")],
    ),
    (
        "minor-6-7",
        "mode: A minor; species: 1; cantus: bass; sing: soprano :: A4 | G# | F# | E // F3 | E | D | C",
        [(2, 3, ""), (3, 4, "")],
    ),
    ("minor-6-7", "mode: A aeolian; species: 1; cantus: bass; sing: soprano :: E4 | F | G | A // C3 | D | E | F", []),
    ("cross-relation", f"{FREE} A4 | G# | A // G3 | E | A", [(1, 2, "outer")]),
    ("cross-relation", f"{FREE} A4 | G# | A // E4 | E | E // G3 | B | A", [(1, 2, "outer")]),
    ("cross-relation", f"{FREE} D5 | C# | D // C4 | A3 | A // F3 | A | D", [(1, 2, "")]),
    ("cross-relation", f"{FREE} C5 C# | D // C3 C | D", []),
    ("cross-relation", f"{FREE} A4 A A A | A A G# A // G3 A B C4 | D E E A3", []),
    ("cross-relation", f"{FREE} A4 G# A B | C5 // G3 A - - | A", [(1, 1, "outer")]),
    ("accidentals", f"{ONE} A4 | Bb | F# | C#5 | D // D3 | G | D | E | D", [(3, 3, "")]),
    ("accidentals", f"{ONE} A4 | C#5 | A | B | D // D3 | A | D | G | D", [(2, 2, "")]),
    # places
    ("crossing", f"{FREE} D4 | C | F // B3 | E | D", [(2, 2, "strong")]),
    ("crossing", f"{FREE} G4 D | G // E4 | C", [(1, 1, "passing")]),
    ("crossing", f"{FREE} G4 D,C | G4 // E4 - | C", [(1, 1, "")]),
    ("crossing", f"{FREE} G4 D | C // E4 | E", [(1, 2, "strong")]),
    ("crossing-at-ends", f"{FREE} C4 | G4 | A // E4 | E | D // C3 | C | F", [(1, 1, "above")]),
    ("crossing-at-ends", f"{FREE} C4 | G4 | A // A4 | E | D // C3 | C | F", [(1, 1, "")]),
    ("crossing-at-ends", f"{FREE} C5 | G | C4 // A4 | E | E", [(3, 3, "")]),
    ("overlap", f"{FREE} D4 | G // B3 | E", [(1, 2, "")]),
    ("overlap", f"{FREE} G4 | D // E4 | B3", [(1, 2, "")]),
    ("overlap", f"{FREE} G4 | E // E4 | C", []),
    ("overlap", f"{ONE} E4 | C5 | B // C4 | A4 | G", [(1, 2, "cantus-leaps")]),
    ("overlap", f"{ONE} E4 | A | B // C4 | F | G", [(1, 2, "")]),
    ("unison-inside", f"{FREE} A4 | F | G // D4 | F | E", [(2, 2, "")]),
    ("unison-inside", f"{FREE} F4 | A | D // F4 | D | D", []),
    ("unison-inside", f"{FREE} A4 | A F G A | G // D4 | F | E", []),
    ("unison-inside", f"{FREE} A4 | G F E D | G // D4 | F | G", [(2, 2, "weak")]),
    ("unison-inside", f"{FREE} A4 | A | A // F4 | F | F // D4 | C | D // D3 | C4 | D3", [(2, 2, "lowest")]),
    ("unison-approach", f"{FREE} A4 | F E | G // D4 | E | E", [(2, 2, "")]),
    ("unison-approach", f"{FREE} A4 | F E | D // D4 | E | E", []),
    ("unison-approach", f"{FREE} A4 | G E | D // D4 | E | E", []),
    ("spacing-upper", f"{FREE} E5 | C | C // C4 | C | C // A3 | A | A", [(1, 1, "tenth")]),
    ("spacing-upper", f"{FREE} D5 | E | D // C4 | C | B3 // A3 | A | G", [(1, 3, "")]),
    ("spacing-upper", f"{FREE} F5 | C | C // C4 | C | C // A3 | A | A", [(1, 1, "wide")]),
    ("spacing-upper", f"{FREE} C5 D | C // C4 - | C // A3 - | A", [(1, 1, "passing")]),
    ("spacing-upper", f"{FREE} E5 | G // C4 | B3", [(2, 2, "wide")]),
    ("spacing-upper", f"{FREE} F5 | E // C4 | C", [(1, 1, "tenth")]),
    ("spacing-bass", f"{FREE} C5 | C // A4 | G // C3 | C", [(1, 1, "")]),
    ("spacing-bass", f"{FREE} C5 | C // A4 | G // C3 | B2", [(1, 2, "")]),
    ("spacing-bass", f"{FREE} C5 | C // A4 | G // G2 | C3", [(1, 1, "wide")]),
    ("all-same-way", f"{ALTO} C5 | D // E4 | F // A3 | B", [(1, 2, "")]),
    ("all-same-way", f"{ALTO} C5 | D // E4 | F // A3 | D4", [(1, 2, "fourth")]),
    ("all-same-way", f"{ALTO} C5 | E // E4 | F // A3 | D4", [(1, 2, "leap")]),
    ("all-same-way", f"{ALTO} A4 | C5 // D4 | D5 // F3 | A3", [(1, 2, "cantus-octave")]),
    ("all-same-way", f"{ALTO} C5 | D // G4 | A // E4 | F", []),
    ("all-same-way", f"{ALTO} C5 | D // E4 | E // A3 | B", []),
    (
        "too-many-parallel-imperfect",
        f"{ONE} F4 | G | A | B | G // D3 | E | F | G | B",
        [(1, 4, "outer"), (3, 4, "major-thirds")],
    ),
    ("too-many-parallel-imperfect", f"{ONE} F4 | G | A | G | B // D3 | E | F | B | G", []),
    (
        "too-many-parallel-imperfect",
        f"{ONE} F4 | G | A | B | C5 | D | F // D3 | E | F | G | A | B | D",
        [(1, 7, "outer-long"), (3, 4, "major-thirds")],
    ),
    ("too-many-parallel-imperfect", f"{ALTO} A4 | B | C5 | B // F4 | G | A | G // D3 | C | F | E", [(1, 4, "")]),
    ("too-many-parallel-imperfect", f"{ONE} A4 | B | C5 // F3 | G | E", [(1, 2, "major-thirds")]),
    ("same-vertical-repeated", f"{ONE} F4 | F | A // D3 | D | F", [(1, 2, "")]),
    ("same-vertical-repeated", f"{ONE} F4 | F | A // D3 | A | F", []),
    # perfects
    ("parallel-fifth", f"{FREE} F4 | G // B3 | C4 // D3 | C", [(1, 2, "diminished-above")]),
    ("parallel-fifth", f"{FREE} F4 | G // B3 | C4", [(1, 2, "diminished-with-bass")]),
    ("parallel-fifth", f"{FREE} G4 | F // C4 | B3", []),
    ("parallel-fifth", f"{FREE} A4 . | B // D4 . | E", [(1, 2, "")]),
    ("parallel-fifth", f"{FREE} A4 | . | B // D4 | . | E", []),
    ("parallel-octave", f"{FREE} C5 | G5 // C4 | G5", [(1, 2, "")]),
    ("parallel-octave", f"{FREE} C5 | G4 // C4 | G4", []),
    ("antiparallel-octave", f"{FREE} C5 | G4 // C4 | G4", [(1, 2, "")]),
    ("antiparallel-octave", f"{FREE} D5 | A // F4 | C5 // A3 | D4 // D3 | A2", []),
    ("antiparallel-octave", f"{FREE} A4 | F // D5 | A // A4 | F // D4 | A5", [(1, 2, "close")]),
    ("antiparallel-fifth", f"{FREE} A4 | E5 // D4 | A3", [(1, 2, "")]),
    ("direct-fifth", f"{FREE} E4 | A // C4 | D", [(1, 2, "outer-leap")]),
    ("direct-fifth", f"{FREE} G4 | A // B3 | D", [(1, 2, "outer-step")]),
    ("direct-fifth", f"{FREE} A4 | B // E4 | A // C4 | D", [(1, 2, "inner")]),
    ("direct-fifth", f"{FREE} C5 | B // E4 | A // B3 | D", [(1, 2, "inner-leaps")]),
    ("direct-fifth", f"{FREE} E4 | G // C4 | E // A3 | C4", []),
    ("direct-octave", f"{FREE} E4 | A // G3 | A", [(1, 2, "outer-leap")]),
    ("direct-octave", f"{FREE} E4 | D // F3 | D", [(1, 2, "outer-step")]),
    ("direct-octave", f"{FREE} E5 | D // G4 | F // D4 | D3", []),
    ("direct-unison", f"{FREE} D4 | G | A // B3 | G4 | F", [(1, 2, "")]),
    ("direct-unison", f"{FREE} D4 | G // B3 | G4", [(1, 2, "close")]),
    ("battuta", f"{FREE} G5 | D | E // C4 | D | C", [(1, 2, "")]),
    ("battuta", f"{FREE} G5 | D // C4 | D", []),
    ("battuta", f"{FREE} C6 G5 | D E | F // C4 | D C | D", [(1, 2, "")]),
    ("parallel-strong", f"{TWO} A4 F | B G | C5 // D4 | E | C", [(1, 2, "")]),
    ("parallel-strong", f"{TWO} A4 C5 | B G | C5 // D4 | E | C", [(1, 2, "saved")]),
    ("parallel-strong", f"{TWO} A4 D | B G | C5 // D4 | E | C", [(1, 2, "saved")]),
    (
        "parallel-strong",
        "species: 2; mode: D dorian; cantus: bass; sing: soprano :: A4 F | B G | C5 // D4 | E | E // F3 | G | A",
        [(1, 2, "inner")],
    ),
    ("parallel-3-to-1", f"{THREE} A4 B C5 D | B A G F | E // F4 | E | C", [(1, 2, "")]),
    ("parallel-3-to-1", f"{THREE} A4 B C5 A | B A G F | E // F4 | E | C", [(1, 2, "saved")]),
    ("parallel-3-to-1", f"{THREE} C5 D B A | G F E D | E // F4 - E - | E | C", [(1, 1, "")]),
    ("parallel-afterbeat", f"{TWO} F4 A | G B | C5 // D4 | E | C", [(1, 2, "")]),
    ("parallel-afterbeat", f"{FOUR} . A4 | - G | - F# | G // D4 | C | A | G", [(1, 2, "tied-fifth")]),
    ("parallel-afterbeat", f"{FOUR} . A4 | - G | - F | - E | D // D4 | C | B3 | A | D", [(1, 2, "tied-fifth")]),
    # chords
    ("third-present", f"{ALTO} F4 | A | E // D4 | A3 | C // D3 | D | C", [(2, 2, "")]),
    ("third-present", f"{ALTO} F4 | A | A // D4 | A3 | C // D3 | D | F", [(2, 2, "")]),
    ("third-present", f"{ALTO} F4 | E | A // D4 | A3 | C // D3 | C | F", []),
    ("double-third", f"{ALTO} C5 | A | C // A4 | A3 | G // F3 | F | E", [(2, 2, "")]),
    ("double-third", f"{ALTO} C5 | F | C // A4 | F3 | G // F3 | D | E", []),
    ("picardy", f"{ABOVE} A4 | C#5 | A4 // F4 | E | F // D3 | A | D", [(3, 3, "")]),
    ("picardy", f"{ALTO} A4 | C#5 | A4 // F4 | E | F# // D3 | A | D", []),
    ("final-chord-third-doubled", f"{ALTO} A4 | C#5 | F5 // F4 | E | F // D3 | A | D", [(3, 3, "")]),
    ("cadence-voice-crossing", f"{ALTO} A4 | C#4 | D // F4 | E | D // D3 | A2 | D", [(2, 2, "")]),
    ("accidentals", f"{ONE} A4 | Eb | C5 | C# | D // D3 | C | A | E | D", [(2, 2, "")]),
    ("direct-octave", f"{FREE} F5 | E // A4 | A // E4 | E3", []),
    ("direct-octave", f"{FREE} G5 | E // A4 | B // E4 | E3", [(1, 2, "outer-leap")]),
    ("third-present", f"{ALTO} F4 | . | E // D4 | A3 | C // D3 | D | C", []),
    ("third-present", f"{ALTO} D4 | A | D // D4 | F | D // D3 | D | D", []),
    ("chord-complete", f"{FOURS} F4 | A | C5 | F // D4 | D | A3 | D // A3 | F3 | F | A3 // D3 | D | F2 | D", []),
    (
        "chord-complete",
        f"{FOURS} F4 | F | C5 | F // D4 | D | A3 | D // A3 | D3 | F | A3 // D3 | D | F2 | D",
        [(2, 2, "")],
    ),
    ("double-tendency", f"{FREE} A4 | C#5 | D // F4 | C# | D // D3 | A | D", [(2, 2, "leading")]),
    ("double-tendency", f"{FREE} A4 | F# | A // F4 | F# | D // D3 | D | D", [(2, 2, "inflected")]),
    ("double-tendency", f"{FREE} A4 | A | F# // F4 | F | F# // D3 | D | D", []),
    ("double-tendency", "mode: C major :: E5 | B4 // C5 | B // C4 | G3 // C3 | G", []),
    ("double-tendency", "mode: C major :: E5 | B4 | C // C5 | B | C // C4 | D | E // C3 | G | C", [(2, 2, "leading")]),
    ("double-tendency", "mode: C major :: E5 | B4 | C // C5 | B | C // C4 | E | E // C3 | E | C", []),
    ("double-tendency", f"{FREE} A4 | C#5 | D // F4 | B3 C# D E | F", [(2, 2, "passing")]),
    ("double-tendency", f"{FREE} A4 | C#5 | D // F4 | G3 C#4 D E | F", [(2, 2, "leading")]),
    ("double-tendency", f"{FREE} A4 | C#5 | D // F4 | C# D E F | F", [(2, 2, "leading")]),
    ("double-bass-6", f"{ABOVE} D5 | D | E // A4 | F | A // D4 | F3 | C", [(2, 2, "third-degree")]),
    ("double-bass-6", f"{ABOVE} D5 | D | E // A4 | A | A // D4 | F3 | C", []),
    ("double-bass-6", f"{ABOVE} E5 | C | E // A4 | E | A // C4 | E3 | C", []),
    ("double-bass-6", f"{ABOVE} E5 | F | E // A4 | A4 | A // C4 | A3 | C", [(2, 2, "")]),
    ("seventh-allowed", f"{MAJOR} C5 | B | C // F4 | F | E // C4 | D | C // A3 | G | C", [(2, 2, "")]),
    ("seventh-prep", f"{MAJOR} C5 | B | C // C4 | F | E // E4 | D | C // A3 | G | C", [(1, 2, "")]),
    ("seventh-prep", f"{MAJOR} C5 | B | C // G4 | F | E // E4 | D | C // C4 | G3 | C", []),
    ("seventh-resolution", f"{MAJOR} C5 | B | C // F4 | F | G // C4 | D | E // A3 | G | C", [(2, 3, "")]),
    ("seventh-resolution", f"{MAJOR} C5 | B | C // F4 | F | C // C4 | D | E // A3 | G | C", [(2, 3, "transferred")]),
    ("seventh-resolution", f"{MAJOR} C5 | B | C // F4 | F | G // A3 | G | G // C3 | D | E", [(2, 3, "four-three")]),
    ("seventh-kinds", f"{MAJOR} G4 | G | A // E4 | E | F // C4 | B3 | A // C3 | C | F", [(2, 2, "")]),
    ("seventh-complete", f"{MAJOR} G4 | G | G // F4 | F | E // C4 | G3 | G // A2 | B | C3", [(2, 2, "")]),
    ("seventh-inversion", f"{MAJOR} C5 | B | C // F4 | G | G // C4 | D | E // A3 | F | G", [(2, 3, "")]),
    ("seventh-inversion", f"{MAJOR} C5 | B | C // F4 | G | G // C4 | D | C // A3 | F | E", []),
    ("double-suspended", f"{FOUR} . D5 | - C | D // F4 | D | F // D3 | E | D", [(2, 2, "")]),
    ("tritone-doubled", f"{FREE} F5 | E // F4 | E // B3 | C // D3 | C", [(1, 1, "")]),
    ("tritone-doubled", f"{FREE} F4 | E // D4 | C // B3 | C // D3 | C", []),
]


@pytest.mark.parametrize(("rule", "text", "expected"), CASES, ids=[f"{case[0]}-{k}" for k, case in enumerate(CASES)])
def test_a_rule_finds_exactly_these(rule: str, text: str, expected: list[tuple[int, int, str]]) -> None:
    piece = Piece(score(text))
    bars = piece.texture
    found = [
        (bars.bar_at(fault.at).number, bars.bar_at(fault.to).number, fault.case)
        for fault in RULES[rule].find(piece, Settings(RULES[rule].parameters))
        if fault.voices != (piece.cantus,)
    ]
    assert sorted(found) == sorted(expected)
