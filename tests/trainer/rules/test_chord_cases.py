"""Chords: thirds, completeness, doublings, sevenths and the last chord, each found where it stands and not where a licence frees it.

Cherubini 1835 and Bridge, Counterpoint (thirds, completeness, doublings); Lehmann, lesson XII (sevenths); Rockstro 1883 (the last chord).
"""

from __future__ import annotations

import pytest
from rule_cases import told, words

MAJOR = "mode: C major; species: 1; cantus: soprano; sing: bass ::"
ONE = "species: 1; mode: D dorian; cantus: alto; sing: soprano ::"
FREE = "species: free; mode: D dorian ::"
FOUR = "species: 4; mode: D dorian; cantus: bass; sing: soprano ::"

# thirds and whole chords


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{ONE} F4 | A | A | E // D4 | A3 | D4 | C // D3 | D | D | C", ["2:1-2:1 1,2,3", "3:1-3:1 1,2,3"]),
        (f"{ONE} F4 | F | A | E // D4 | A3 | F4 | C // D3 | D | D | C", []),
        (f"{ONE} F4 | F | B | E // D4 | A3 | D4 | C // D3 | D | D | C", []),  # a sixth does as well
        (f"{ONE} A4 | F | F | A // D4 | A3 | D4 | A // D3 | D | D | D", []),  # first and last chord are excused
        (f"{ONE} F4 | E4 // D4 | A3 // D3 | D", []),
        ("species: 1; mode: D dorian; cantus: bass; sing: soprano :: F4 | A | E // D3 | D | C", []),  # two parts
        # a suspension counts as the note that it delays: D over A falls to C
        (f"{FOUR} . D5 | - C | D // F4 | E | F // D3 | A2 | D", []),
        (f"{FOUR} . D5 | - B | D // F4 | E | F // D3 | A2 | D", ["2:1-2:1 1,2,3"]),
        (f"{ONE} . F4 | A | E // D4 | A3 | C // D3 | D | C", ["2:1-2:1 1,2,3"]),
        (f"{ONE} F4 | . A | E // D4 | A3 | C // D3 | D | C", []),  # a voice is silent on the beat
    ],
)
def test_a_third_or_a_sixth_stands_on_the_strong_beat(text: str, expected: list[str]) -> None:
    assert told("third-present", text) == expected


@pytest.mark.parametrize(
    ("upper", "expected"),
    [
        ("F4 | A | C5 | F // D4 | D | A3 | D // A3 | F3 | F | A3", []),
        ("F4 | F | C5 | F // D4 | D | A3 | D // A3 | D3 | F | A3", ["2:1-2:1 1,2,3,4"]),
        ("F4 | A | C5 | F // D4 | D | A3 | D // A3 | D3 | F | A3", ["2:1-2:1 1,2,3,4"]),  # third left out
        ("F4 | F | C5 | F // D4 | B3 | A3 | D // A3 | D3 | F | A3", []),  # a 6/3
        ("F4 | B | C5 | F // D4 | B3 | A3 | D // A3 | D3 | F | A3", ["2:1-2:1 1,2,3,4"]),
    ],
)
def test_four_parts_have_the_whole_chord(upper: str, expected: list[str]) -> None:
    assert told("chord-complete", f"{ONE} {upper} // D3 | D | F2 | D") == expected


def test_what_a_chord_lacks_is_said() -> None:
    rest = "D4 | D | A3 | D // A3 | D3 | F | A3 // D3 | D | F2 | D"
    assert words("chord-complete", f"{ONE} F4 | F | C5 | F // {rest}") == ["D3 D3 D4 F4 lacks its fifth"]
    assert words("chord-complete", f"{ONE} F4 | A | C5 | F // {rest}") == ["D3 D3 D4 A4 lacks its third"]


def test_a_chord_may_be_filled_up_on_the_third_beat() -> None:
    head = "species: 2; mode: D dorian; cantus: alto; sing: soprano ::"
    rest = "D4 | F | A3 | D // A3 | D3 | F | A3 // D3 | D | F2 | D"
    assert told("chord-complete", f"{head} . F4 | D5 A | C5 G | F // {rest}") == []
    assert told("chord-complete", f"{head} . F4 | D5 F | C5 G | F // {rest}") == ["2:1-2:1 1,2,3,4"]
    # on the third beat, not on the second or the fourth
    quarters = head.replace("species: 2", "species: 3")
    for bar, said in (("D5 D F A", ["2:1-2:1 1,2,3,4"]), ("D5 D A D", []), ("D5 A D D", ["2:1-2:1 1,2,3,4"])):
        assert told("chord-complete", f"{quarters} . F4 | {bar} | C5 G | F // {rest}") == said, bar
    triple = "meter: 3/2; " + head
    assert told("chord-complete", f"{triple} . F4 F | D5 D A | C5 G C | F // {rest}") == ["2:1-2:1 1,2,3,4"]


def test_a_chord_left_bare_by_a_tie_is_told_as_such() -> None:
    head = "species: 4; mode: D dorian; cantus: bass; sing: soprano ::"
    text = f"{head} . F4 | - A | - F | F // D4 | D | F | D // A3 | A | C4 | A3 // D3 | D | F2 | D"
    assert told("chord-complete", text) == []
    bare = f"{head} . F4 | - D | - F | F // D4 | D | F | D // A3 | D3 | C4 | A3 // D3 | D | F2 | D"
    assert told("chord-complete", bare) == [
        "2:1-2:1 1,2,3,4 fourth-species",
        "3:1-3:1 1,2,3,4 fourth-species",
    ]


def test_three_parts_have_whole_chords_as_often_as_may_be() -> None:
    whole, bare = "A4", "D5"
    for full, said in ((4, []), (2, []), (1, ["2:1-5:1 1,2,3 share"]), (0, ["2:1-5:1 1,2,3 share"])):
        upper = " | ".join(["A4", *[whole] * full, *[bare] * (4 - full), "D5"])
        text = f"{ONE} {upper} // F4 | F | F | F | F | F // D3 | D | D | D | D | D"
        assert told("chord-complete", text) == said, full
        assert told("chord-complete", text, share=25) == (said if full == 0 else [])


# doublings


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{ONE} C5 | A | C // A4 | A3 | G // F3 | F | E", ["2:1-2:1 1,2"]),
        (f"{ONE} C5 | F | C // A4 | A3 | G // F3 | F | E", []),
        (f"{ONE} D5 | F | C // A4 | F3 | G // F3 | D | E", []),  # a minor third
        (f"{ONE} C5 | A | C // A4 | A3 | G // F3 | F | E // D3 | D | C", []),  # over D it is the fifth
        (f"{ONE} C5 | A | C // A4 | A3 | G // D4 | D | E // F3 | F | E", []),  # a 6/3
        (
            "mode: C major; species: 1; cantus: alto; sing: soprano :: C5 | B | C // G4 | B3 | C4 // C3 | G | C",
            ["2:1-2:1 1,2 leading"],
        ),
        ("species: 1; mode: D dorian; cantus: bass; sing: soprano :: C5 | A | C // F3 | F | E", []),
    ],
)
def test_a_major_third_is_not_doubled(text: str, expected: list[str]) -> None:
    assert told("double-third", text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{FREE} A4 | C#5 | D // F4 | C# | D // D3 | A | D", ["2:1-2:1 1,2 leading"]),
        (f"{FREE} A4 | C#5 | D // F4 | C# | D", ["2:1-2:1 1,2 leading"]),
        (f"{FREE} A4 | Eb5 | D // F4 | Eb | D // D3 | C | D", []),  # lowered notes are not told here
        (f"{FREE} A4 | A | F#5 // F4 | F | F# // D3 | D | D", []),
        (f"{FREE} A4 | F#5 | A // D4 | F# | D // D3 | D | D", ["2:1-2:1 1,2 inflected"]),
        (f"{FREE} A4 | C#5 - | D // F4 | . C# | D // D3 | A | D", ["2:3-2:3 1,2 leading"]),
        # the leading note of a white-note mode is one only where the chord wants to go on
        ("mode: F lydian :: G4 | E5 | F // C4 | E | F // C3 | C | F", ["2:1-2:1 1,2 leading"]),
        ("mode: F lydian :: G4 | E5 | C | A | F // C4 | E | G | C | F // C3 | C | E | C | F", []),
        ("mode: C major :: E5 | B4 | C // C5 | B | C // C4 | G | E // C3 | G | C", ["2:1-2:1 1,2 leading"]),
        (
            "mode: C major :: E5 | B4 | C | C // C5 | B | C | C // C4 | D | E | E // C3 | B2 | C | C",
            ["2:1-2:1 1,2 leading", "2:1-2:1 1,4 leading", "2:1-2:1 2,4 leading"],
        ),
        ("mode: C major :: E5 | B4 | C | C // C5 | B | C | C // C4 | G | E | E // C3 | E | C | C", []),
        # the seventh of a chord, in four parts with its third
        ("mode: C major :: F5 | E // F4 | C // B3 | G // G3 | C", ["1:1-1:1 1,2 seventh"]),
        ("mode: C major :: F5 | E // F4 | C // G4 | G // G3 | C", []),
        ("mode: C major :: F5 | E // F4 | C // B3 | G", []),
        # in minor the sixth degree raised is one of the scale's two
        ("mode: A minor :: E5 | F#5 | E // A4 | F# | E // C4 | A3 | C", []),
        ("mode: A minor :: E5 | G#5 | A // B4 | G# | A // E4 | E | E", ["2:1-2:1 1,2 leading"]),
        ("mode: A aeolian :: E5 | F#5 | E // A4 | F# | E // C4 | A3 | C", ["2:1-2:1 1,2 inflected"]),
    ],
)
def test_notes_with_a_tendency_are_not_doubled(text: str, expected: list[str]) -> None:
    assert told("double-tendency", text) == expected


def test_the_modal_sets_know_no_leading_note_but_at_the_close() -> None:
    middle = "mode: C major :: E5 | B4 | C | C // C5 | B | C | C // C4 | G | E | E // C3 | G | C | C"
    assert told("double-tendency", middle) == ["2:1-2:1 1,2 leading"]
    assert told("double-tendency", middle, natural="close") == []
    close = "mode: C major :: E5 | C | B4 | C // C5 | C | B | C // C4 | G | G | E // C3 | E | G | C"
    assert told("double-tendency", close, natural="close") == ["3:1-3:1 1,2 leading"]


@pytest.mark.parametrize(
    ("lower", "expected"),
    [
        ("B3 C# D E", ["2:2-2:2 1,2 passing"]),
        ("D4 C# B A", ["2:2-2:2 1,2 passing"]),
        ("C#4 D E F", ["2:1-2:1 1,2 leading"]),  # on the first beat
        ("G3 C#4 D E", ["2:2-2:2 1,2 leading"]),  # leapt to
        ("B3 C# E D", ["2:2-2:2 1,2 leading"]),  # left by leap
        ("B3 C# B A", ["2:2-2:2 1,2 leading"]),  # turned back
        ("A3 B D C#", ["2:4-2:4 1,2 leading"]),
    ],
)
def test_a_doubling_in_passing_is_told_as_such(lower: str, expected: list[str]) -> None:
    assert told("double-tendency", f"{FREE} A4 | C#5 | D // F4 | {lower} | F") == expected


@pytest.mark.parametrize(
    ("bar", "expected"),
    [
        ("C5 // E4 // E3", ["2:1-2:1 2,3 third-degree"]),
        ("G4 // G4 // E3", []),
        ("F5 // F4 // A3", []),  # the third doubled, not the bass
        ("D5 // D4 // F3", []),  # on the fourth degree all may be doubled
        ("B4 // D4 // D3", []),  # on the second too
        ("G5 // B4 // B3", ["2:1-2:1 2,3 seventh-degree"]),
        ("F4 // A4 // A3", ["2:1-2:1 2,3"]),
        ("E4 // A4 // A3", []),  # a 5/3
        ("C5 // E4 // B3 // E3", []),  # a fifth and a sixth
    ],
)
def test_the_bass_of_a_sixth_chord(bar: str, expected: list[str]) -> None:
    middle = bar.split(" // ")
    first, last = ["C5", "G4", "E4", "C4"], ["D5", "G4", "D4", "B3"]
    keep = [0, 1, 3] if len(middle) == 3 else [0, 1, 2, 3]
    voices = " // ".join(f"{first[k]} | {one} | {last[k]}" for k, one in zip(keep, middle, strict=True))
    assert told("double-bass-6", f"mode: C ionian; species: 1; cantus: soprano; sing: alto :: {voices}") == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("F5 | E // F4 | E // B3 | C // D3 | C", ["1:1-1:1 1,2"]),
        ("B4 | C // F4 | E // B3 | C // D3 | C", ["1:1-1:1 1,3"]),
        ("F4 | E // D4 | C // B3 | C // D3 | C", []),  # its bass doubled
        ("F5 | E // F4 | E // B2 | C3", []),  # root position is another fault
        ("F5 | E // F4 | E // A3 | C // D3 | C", []),  # a minor chord
        ("F4 - | E // B3 - | C // D3 - | C // . F3 | E", ["1:3-1:3 1,4"]),
    ],
)
def test_the_tritone_of_a_diminished_sixth_chord_is_not_doubled(text: str, expected: list[str]) -> None:
    assert told("tritone-doubled", f"mode: C major :: {text}") == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{FOUR} . D5 | - C | D // F4 | D | F // D3 | E | D", ["2:1-2:3 1,2"]),
        (f"{FOUR} . D5 | - C | D // F4 | G | F // D3 | E | D", []),
        (f"{FOUR} . D5 | - E | D // F4 | D | F // D3 | E | D", []),  # what does not fall is told elsewhere
        (f"{FOUR} . D5 | - C | D // F4 | Db | F // D3 | E | D", []),
        (f"{FOUR} . D5 | - E C B | C // F4 | D | F // D3 | E | D", ["2:1-2:3 1,2"]),
    ],
)
def test_a_suspended_note_is_not_doubled(text: str, expected: list[str]) -> None:
    assert told("double-suspended", text) == expected


# sevenths: soprano, alto, tenor and bass


def four(*chords: str) -> str:
    """Chords from the top down, parted by blanks, as four voices in whole notes."""
    lines = zip(*(chord.split() for chord in chords), strict=True)
    return f"{MAJOR} " + " // ".join(" | ".join(line) for line in lines)


TONIC = "C5 G4 E4 C3"


@pytest.mark.parametrize(
    ("middle", "expected"),
    [
        (["B4 F4 D4 G3"], ["2:1-2:1 1,2,3,4"]),
        (["B4 G4 D4 G3"], []),
        (["B4 F4 D4 G3", "D5 F4 B3 G3"], ["2:1-2:1 1,2,3,4"]),  # one chord in two places is one
        (["B4 F4 D4 G3", "C5 F4 A3 D3"], ["2:1-2:1 1,2,3,4", "3:1-3:1 1,2,3,4"]),
        (["G4 F4 D4 G3"], []),  # without its third no chord
    ],
)
def test_a_seventh_chord_is_found_once(middle: list[str], expected: list[str]) -> None:
    assert told("seventh-allowed", four(TONIC, *middle, TONIC)) == expected


def test_a_seventh_that_passes_or_is_suspended_belongs_to_the_species() -> None:
    head = "mode: C major; species: 2; cantus: bass; sing: alto ::"
    assert told("seventh-allowed", f"{head} C5 | B | C // G4 | G F | E // E4 | D | C // C3 | G3 | C") == []
    assert told("seventh-allowed", f"{head} C5 | B | C // G4 | F G | E // E4 | D | C // C3 | G3 | C") == [
        "2:1-2:1 1,2,3,4"
    ]
    tied = "mode: C major; species: 4; cantus: bass; sing: soprano ::"
    assert told("seventh-allowed", f"{tied} . C5 | - B | C // A4 | F | E // E4 | A3 | G // C3 | D3 | C") == []


def test_three_parts_with_root_and_seventh_over_the_third_strike_a_seventh_chord() -> None:
    head = "mode: C major; species: 1; cantus: soprano; sing: bass ::"
    assert told("seventh-allowed", f"{head} C5 | D | C // E4 | E | E // C4 | C | A") == []
    assert told("seventh-allowed", f"{head} C5 | D | C // G4 | C5 | G // E3 | F | E") == ["2:1-2:1 1,2"]


@pytest.mark.parametrize(
    ("chord", "expected"),
    [
        ("B4 F4 D4 G3", []), ("C5 A4 F4 D4", []), ("D5 B4 G4 E4", []), ("E5 C5 A4 F3", []), ("G4 E4 C4 A3", []),
        ("A4 F4 D4 B3", []), ("B4 G4 E4 C4", ["2:1-2:1 1,2,3,4"]), ("G4 E4 C4 B3", ["2:1-2:1 1,2,3,4"]),
    ],
)  # fmt: skip
def test_of_seventh_chords_that_on_the_first_degree_is_unusual(chord: str, expected: list[str]) -> None:
    assert told("seventh-kinds", four("C5 G4 E4 C3", chord, "C5 G4 E4 C3")) == expected
    assert told("seventh-kinds", four("C5 G4 E4 C3", chord, "C5 G4 E4 C3"), degrees="none") == ["2:1-2:1 1,2,3,4"]


@pytest.mark.parametrize(
    ("alto", "expected"),
    [
        ("F4 | F | E", []),  # held
        ("G4 | F | E", []),  # by step from above
        ("E4 | F | E", []),  # and from below
        ("C4 | F | E", ["1:1-2:1 2"]),
        ("A4 | F | E", ["1:1-2:1 2"]),
        (". | F4 | E", ["2:1-2:1 2"]),  # out of a rest
        (". | . F4 | E", []),
    ],
)
def test_how_a_seventh_is_reached(alto: str, expected: list[str]) -> None:
    assert told("seventh-prep", f"{MAJOR} C5 | B | C // {alto} // E4 | D4 | C // C3 | G3 | C") == expected


def test_a_set_says_how_a_seventh_may_be_reached() -> None:
    held = f"{MAJOR} C5 | B | C // F4 | F | E // A3 | D4 | C // F3 | G | C"
    step = f"{MAJOR} C5 | B | C // G4 | F | E // A3 | D4 | C // F3 | G | C"
    assert told("seventh-prep", held, ways="step") == ["1:1-2:1 2"]
    assert told("seventh-prep", step, ways="held") == ["1:1-2:1 2"]
    assert told("seventh-prep", step, ways="held,step") == []
    weak = "mode: C major; species: 2; cantus: bass; sing: alto :: C5 | B | C // G4 | E F | E // E4 | G D4 | E // C3 | G3 | C"
    assert told("seventh-prep", weak, ways="held") == ["2:1-2:3 2"]  # a step up is no leap


def test_on_a_weak_beat_the_seventh_of_the_dominant_may_leap_up() -> None:
    head = "mode: C major; species: 2; cantus: bass; sing: alto ::"

    def alto(line: str, others: str = "C5 | B | C // {} // E4 | G D4 | E // C3 | G3 | C") -> list[str]:
        return told("seventh-prep", f"{head} {others.format(line)}")

    assert alto("G4 | D F | E") == ["2:1-2:3 2 leap-up-weak"]
    assert alto("G4 | B F4 | E") == ["2:1-2:3 2"]  # down
    second = "D5 | D | C // {} // A4 | A F | G // D3 | D3 | C"
    assert alto("F4 | F C5 | B", second) == ["2:1-2:3 2"]  # of another degree


@pytest.mark.parametrize(
    ("alto", "others", "expected"),
    [
        ("F4 | F | E", "C5 | B | C // {} // A3 | D4 | C // F3 | G | C", []),
        ("F4 | F | G", "C5 | B | C // {} // A3 | D4 | C // F3 | G | C", ["2:1-3:1 2"]),
        ("F4 | F | C", "C5 | B | C // {} // A3 | D4 | E // F3 | G | C", ["2:1-3:1 2 transferred"]),
        ("F4 | F | G", "C5 | B | C // {} // A3 | D4 | E // F3 | G | C", ["2:1-3:1 2"]),  # it rises
        ("F4 | F | G", "C5 | B | C // {} // G3 | G | G // C3 | D | E", ["2:1-3:1 2 four-three"]),
        ("F4 | F | A", "C5 | B | C // {} // G3 | G | G // C3 | D | C", ["2:1-3:1 2"]),
        ("F4 | F", "C5 | B // {} // A3 | D4 // F3 | G", []),  # nothing comes after it
        # put off while the chord stands: away and back
        ("F4 | F | G | F | E", "C5 | B | D | D | C // {} // A3 | D4 | B3 | B3 | C // F3 | G | G | G | C", []),
        ("F4 | F | D | E", "C5 | B | B | C // {} // A3 | D4 | F4 | G // F3 | G | G | C", ["2:1-3:1 2"]),
    ],
)
def test_how_a_seventh_is_left(alto: str, others: str, expected: list[str]) -> None:
    assert told("seventh-resolution", f"{MAJOR} {others.format(alto)}") == expected


def test_a_seventh_in_the_bass_is_for_its_own_rule() -> None:
    text = f"{MAJOR} C5 | B | C // F4 | G | G // C4 | D | E // A3 | F | {{}}"
    assert told("seventh-resolution", text.format("G")) == []
    assert told("seventh-inversion", text.format("G")) == ["2:1-3:1 4"]
    assert told("seventh-inversion", text.format("E")) == []
    assert told("seventh-inversion", text.format("-")) == []
    assert told("seventh-inversion", text.format("C")) == ["2:1-3:1 4"]


@pytest.mark.parametrize(
    ("chord", "expected"),
    [
        ("B4 F4 D4 G3", []),
        ("B4 F4 G4 G3", []),  # root position without its fifth
        ("G4 F4 G4 B3", ["2:1-2:1 1,2,3,4"]),  # an inversion without it
        ("D5 G4 F4 B3", []),
    ],
)
def test_an_inversion_has_all_its_notes(chord: str, expected: list[str]) -> None:
    assert told("seventh-complete", four("C5 G4 E4 C4", chord, "C5 G4 E4 C4")) == expected


# the last chord

LAST = "mode: D dorian; species: 1; cantus: alto; sing: soprano ::"


@pytest.mark.parametrize(
    ("last", "picardy", "doubled"),
    [
        ("D5 // F4 // D3", ["2:1-2:1 2"], []),
        ("D5 // F#4 // D3", [], []),
        ("D5 // A4 // D3", [], []),
        ("F5 // F4 // D3", ["2:1-2:1 1,2"], ["2:1-2:1 1,2,3"]),
        ("F#5 // F#4 // D3", [], ["2:1-2:1 1,2,3"]),
        ("D5 // F4 // Bb2", [], []),
    ],
)
def test_the_third_of_the_last_chord(last: str, picardy: list[str], doubled: list[str]) -> None:
    first = ["C#5", "E4", "A3"]
    text = f"{LAST} " + " // ".join(f"{one} | {other}" for one, other in zip(first, last.split(" // "), strict=True))
    assert told("picardy", text) == picardy
    assert told("final-chord-third-doubled", text) == doubled


def test_in_two_parts_the_last_chord_has_no_third_to_speak_of() -> None:
    text = "mode: D dorian; species: 1; cantus: bass; sing: soprano :: C#5 | F5 // E4 | D4"
    assert told("picardy", text) == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("A4 | C#4 | D // F4 | E | D // D3 | A2 | D", ["2:1-2:1 1,2"]),
        ("C#4 | D // E4 | D // A2 | D", ["1:1-1:1 1,2"]),
        ("A4 | C#5 | D // D4 | A3 | D // D3 | B3 | D", ["2:1-2:1 2,3"]),
        ("A4 | C#5 C4 | D // F4 | E | D // D3 | A2 | D", ["2:3-2:3 1,2"]),
        ("E4 | C#5 | D // F4 | E | D // D3 | A2 | D", []),  # a bar too early
        ("A4 | C#5 | D // F4 | E | F // D3 | A2 | D", []),
        ("A4 | E | D // F4 | E | D // D3 | A2 | D", []),  # a unison is no crossing
        ("A4 | C#5 | D4 // F4 | E | F // D3 | A2 | D", []),  # in the last chord: another rule
    ],
)
def test_voices_do_not_cross_into_the_close(text: str, expected: list[str]) -> None:
    assert told("cadence-voice-crossing", f"{LAST} {text}") == expected
