"""The shipped drills that were written by hand are whole, singable and correct under strict counterpoint.

The rules are those that J. J. Fux (Gradus ad Parnassum, 1725), W. S. Rockstro ("Strict Counterpoint", Grove's Dictionary vol. 3,
1883) and L. Cherubini (A Treatise on Counterpoint and Fugue, 1835) agree on. Parallels are judged by music21's VoiceLeadingQuartet,
a library of others; the rest is counted here from letters and semitones, without heldline's own checker.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import combinations, pairwise
from pathlib import Path

import pytest

from trainer.formats import read_path
from trainer.formats.drill import write
from trainer.library import Exercise, exercises, folder
from trainer.score.model import Line, Note, Score, find_voice
from trainer.score.modes import split_mode
from trainer.score.pitch import Pitch

BY_HAND = 17
"""The first of the library; those after them are composed, and tested in ``library/test_whole.py``."""

SHIPPED = exercises()[:BY_HAND]
RANGES = {"soprano": ("C4", "G5"), "alto": ("G3", "C5"), "tenor": ("C3", "G4"), "bass": ("E2", "C4")}
"""A common part-writing handout's table (read in a university's course notes)."""

# letters apart (within an octave) and semitones
CONSONANT_WITH_BASS = {(0, 0), (2, 3), (2, 4), (4, 7), (5, 8), (5, 9)}
CONSONANT_ABOVE = CONSONANT_WITH_BASS | {(3, 5), (3, 6), (4, 6)}
SINGABLE_MOVES = {(0, 0), (1, 1), (1, 2), (2, 3), (2, 4), (3, 5), (4, 7), (7, 12)}

every_drill = pytest.mark.parametrize("exercise", SHIPPED, ids=lambda exercise: exercise.path.stem)


def score_of(exercise: Exercise) -> Score:
    return read_path(exercise.path)


def size(low: Pitch, high: Pitch) -> tuple[int, int]:
    """Letters and semitones from the lower pitch to the higher, within an octave."""
    if (high.midi, high.diatonic) < (low.midi, low.diatonic):
        low, high = high, low
    return (high.diatonic - low.diatonic) % 7, (high.midi - low.midi) % 12


def moments(score: Score) -> list[Fraction]:
    return sorted({note.onset_quarters for line in score.lines for note in line.notes})


def sung_line(score: Score) -> Line:
    return score.lines[find_voice(score, score.fact("sing"))]


def steps(line: Line) -> list[int]:
    return [after.pitch.diatonic - before.pitch.diatonic for before, after in pairwise(line.notes)]


def neighbours(line: Line, note: Note) -> tuple[Note | None, Note | None]:
    index = line.notes.index(note)
    return (line.notes[index - 1] if index else None), (line.notes[index + 1] if index + 1 < len(line.notes) else None)


def test_there_are_at_least_a_dozen_over_all_species_parts_modes_and_meters() -> None:
    assert len(SHIPPED) >= 12
    assert {exercise.species for exercise in SHIPPED} == {"1", "2", "3", "4", "5"}
    assert {exercise.parts for exercise in SHIPPED} == {2, 3, 4}
    assert {split_mode(exercise.mode)[1] for exercise in SHIPPED} == {
        "dorian",
        "phrygian",
        "lydian",
        "mixolydian",
        "aeolian",
        "ionian",
    }
    assert len({str(score_of(exercise).meters[0][1]) for exercise in SHIPPED}) >= 4
    assert {exercise.sing for exercise in SHIPPED} == {"soprano", "alto", "tenor", "bass"}


def test_ferry_bell_is_there_note_for_note() -> None:
    score = score_of(SHIPPED[0])
    assert [" ".join(str(note.pitch) for note in line.notes) for line in score.lines] == [
        "B4 F#4 G#4 A4 G#4 F#4 E4 D4 E4 F#4 F#4",
        "B3 C#4 E4 F#4 E4 D4 B3 A3 B3 C#4 B3",
        "F#3 A3 B3 C#4 B3 F#3 G#3 A3 G#3 F#3 D#3",
        "B2 A2 G#2 F#2 G#2 B2 G#2 F#2 G#2 A#2 B2",
    ]
    assert (SHIPPED[0].cantus, SHIPPED[0].sing, SHIPPED[0].species, SHIPPED[0].mode) == (
        "alto",
        "tenor",
        "1",
        "B dorian",
    )


def test_the_dedication_lies_beside_them() -> None:
    text = (folder() / "LICENSE").read_text()
    assert "CC0-1.0" in text
    assert "https://creativecommons.org/publicdomain/zero/1.0/" in text


@every_drill
def test_it_says_all_of_itself(exercise: Exercise) -> None:
    names = score_of(exercise).voice_names()
    assert exercise.cantus in names
    assert exercise.sing in names
    assert list(names) == [line.name for line in score_of(exercise).lines]
    assert (
        Path(exercise.path).name.split("-", 1)[1]
        == f"{exercise.title.lower().replace(',', '').replace(' ', '-')}.drill"
    )


@every_drill
def test_its_bars_are_whole_and_it_reads_back_equal(exercise: Exercise) -> None:
    score = score_of(exercise)
    bars = score.bars()
    assert bars.end_quarters == score.end_quarters
    assert {line.notes[-1].end_quarters for line in score.lines} == {score.end_quarters}
    assert read_back(score) == score


def read_back(score: Score) -> Score:
    from trainer.formats.drill import read

    return read(write(score), "x")


@every_drill
def test_its_voices_stay_in_their_ranges_and_within_a_tenth(exercise: Exercise) -> None:
    for line in score_of(exercise).lines:
        low, high = (Pitch.parse(name).midi for name in RANGES[line.name])
        heights = [note.pitch for note in line.notes]
        assert low <= min(p.midi for p in heights) <= max(p.midi for p in heights) <= high
        assert max(p.diatonic for p in heights) - min(p.diatonic for p in heights) <= 9


@every_drill
def test_its_rhythm_is_its_species(exercise: Exercise) -> None:
    score = score_of(exercise)
    bar = score.meters[0][1].bar_quarters
    cantus = score.lines[find_voice(score, exercise.cantus)]
    assert {note.length_quarters for note in cantus.notes} == {bar}
    inner = [note for note in sung_line(score).notes if note.end_quarters < score.end_quarters]
    onsets = {note.onset_quarters % bar for note in inner}
    lengths = {note.length_quarters for note in inner}
    if exercise.species == "1":
        assert lengths == {bar}
    elif exercise.species == "2":
        assert lengths == ({bar / 3} if bar % 3 == 0 else {bar / 2})
    elif exercise.species == "3":
        assert lengths == {bar / 4}
    elif exercise.species == "4":
        assert bar / 2 in onsets
        assert sum(note.length_quarters == bar for note in inner) >= len(inner) * 2 / 3
    else:
        assert len(lengths) >= 3
        assert len(patterns(score)) >= 5
        assert sum(note.onset_quarters // bar != (note.end_quarters - Fraction(1, 8)) // bar for note in inner) >= 2
    for line in score.lines:
        if line not in (cantus, sung_line(score)):
            assert {note.length_quarters for note in line.notes} == {bar}


def patterns(score: Score) -> set[tuple[Fraction, ...]]:
    """Where notes begin in each bar of the line to sing."""
    onsets = [note.onset_quarters for note in sung_line(score).notes]
    return {
        tuple(at - bar.onset_quarters for at in onsets if 0 <= at - bar.onset_quarters < bar.length_quarters)
        for bar in score.bars().bars
    }


@every_drill
def test_no_two_voices_move_in_parallel_fifths_octaves_or_unisons(exercise: Exercise) -> None:
    from music21 import note as m21note
    from music21.voiceLeading import VoiceLeadingQuartet

    score = score_of(exercise)
    for upper, lower in combinations(score.lines, 2):
        slices = [(upper.at(at), lower.at(at)) for at in moments(score)]
        for (a, c), (b, d) in pairwise(slices):
            if a is None or b is None or c is None or d is None or a is b or c is d:
                continue
            quartet = VoiceLeadingQuartet(*(m21note.Note(str(n.pitch).replace("b", "-")) for n in (a, b, c, d)))
            # music21 counts contrary motion too, so antiparallels are refused as well
            found = (quartet.parallelFifth(), quartet.parallelOctave(), quartet.parallelUnison())
            assert not any(found), (
                f"{upper.name}/{lower.name} at {b.onset_quarters}: {a.pitch} {c.pitch} -> {b.pitch} {d.pitch}"
            )


@every_drill
def test_no_perfect_interval_is_reached_by_similar_motion_of_the_outer_voices_with_a_leap_on_top(
    exercise: Exercise,
) -> None:
    score = score_of(exercise)
    top, bass = score.lines[0], score.lines[-1]
    for before, at in pairwise(moments(score)):
        a, b, c, d = top.at(before), top.at(at), bass.at(before), bass.at(at)
        if a is None or b is None or c is None or d is None:
            continue
        up, low = b.pitch.diatonic - a.pitch.diatonic, d.pitch.diatonic - c.pitch.diatonic
        similar = up * low > 0
        perfect = size(d.pitch, b.pitch) in ((0, 0), (4, 7))
        leaps = abs(up) > 1 or len(score.lines) == 2
        assert not (similar and perfect and leaps), f"{a.pitch} {c.pitch} -> {b.pitch} {d.pitch}"


@every_drill
def test_voices_never_cross_and_keep_together(exercise: Exercise) -> None:
    score = score_of(exercise)
    for at in moments(score):
        for (upper, a), (lower, b) in pairwise([(line, line.at(at)) for line in score.lines]):
            if a is None or b is None:
                continue
            assert a.pitch.midi >= b.pitch.midi, f"{upper.name} under {lower.name} at {at}"
            widest = 11 if lower is score.lines[-1] else 7  # a twelfth above the bass, an octave above an inner voice
            assert a.pitch.diatonic - b.pitch.diatonic <= widest


@every_drill
def test_every_dissonance_is_lawful(exercise: Exercise) -> None:
    """Passing, neighbour, the first note of a cambiata's leap, or a suspension prepared, held and resolved down a step."""
    score = score_of(exercise)
    bar = score.meters[0][1].bar_quarters
    for at in moments(score):
        sounding = [(line, note) for line in score.lines if (note := line.at(at)) is not None]
        bass = min((note for _, note in sounding), key=lambda note: note.pitch.midi)
        for (one, a), (two, b) in combinations(sounding, 2):
            lawful = CONSONANT_WITH_BASS if bass in (a, b) else CONSONANT_ABOVE
            if size(a.pitch, b.pitch) in lawful:
                continue
            moving, note = (one, a) if one is sung_line(score) else (two, b)
            assert moving is sung_line(score), f"{one.name} {a.pitch} against {two.name} {b.pitch} at {at}"
            before, after = neighbours(moving, note)
            assert after is not None, f"{note.pitch} at {at} ends dissonant"
            told = f"{note.pitch} {after.pitch} at {at}"
            goes = after.pitch.diatonic - note.pitch.diatonic
            came = note.pitch.diatonic - before.pitch.diatonic if before is not None else 9
            if note.onset_quarters < at:
                assert at % bar == 0, f"held into a weak beat: {told}"
                assert goes == -1, f"not resolved down a step: {told}"
                assert consonant_when_struck(score, note), f"not prepared: {told}"
            elif exercise.species == "2" or note.length_quarters >= 2:
                assert at % bar != 0, f"struck on the strong beat: {told}"
                assert came == goes, f"not passing: {told}"
                assert abs(came) == 1, f"not passing: {told}"
            else:
                assert at % bar != 0, f"struck on the strong beat: {told}"
                cambiata = (came, goes) == (-1, -2)
                assert (abs(came), abs(goes)) == (1, 1) or cambiata, f"reached or left by leap: {told}"
                if cambiata:
                    _, last = neighbours(moving, after)
                    assert last is not None, told
                    assert last.pitch.diatonic - after.pitch.diatonic == 1, f"not a whole cambiata: {told}"


@every_drill
def test_a_tie_begins_on_a_consonance(exercise: Exercise) -> None:
    score = score_of(exercise)
    bar = score.meters[0][1].bar_quarters
    for note in sung_line(score).notes:
        if note.onset_quarters // bar != (note.end_quarters - Fraction(1, 8)) // bar:
            assert consonant_when_struck(score, note), f"{note.pitch} at {note.onset_quarters}"


@pytest.mark.parametrize(
    "exercise", [exercise for exercise in SHIPPED if exercise.species == "5"], ids=lambda exercise: exercise.title
)
def test_florid_values_stand_where_they_may(exercise: Exercise) -> None:
    """A tie begins on the half bar with a half note; eighths come in pairs on the second or fourth quarter and move by step."""
    score = score_of(exercise)
    line = sung_line(score)
    for note in line.notes[:-1]:
        place = note.onset_quarters % 4
        if note.onset_quarters // 4 != (note.end_quarters - Fraction(1, 8)) // 4:
            assert place == 2, f"{note.pitch} is tied from quarter {place + 1}"
        if note.length_quarters == Fraction(1, 2):
            before, after = neighbours(line, note)
            assert place in (1, Fraction(3, 2), 3, Fraction(7, 2))
            assert before is not None, "eighths do not begin a line"
            assert after is not None, "eighths do not end a line"
            assert abs(note.pitch.diatonic - before.pitch.diatonic) == 1
            assert abs(after.pitch.diatonic - note.pitch.diatonic) == 1


@every_drill
def test_leading_notes_are_not_doubled_at_the_close(exercise: Exercise) -> None:
    score = score_of(exercise)
    final, mode = split_mode(exercise.mode)
    bar = score.meters[0][1].bar_quarters
    seventh = "CDEFGAB"[("CDEFGAB".index(final[0]) + 6) % 7]
    for at in moments(score):
        if score.end_quarters - 2 * bar <= at < score.end_quarters - bar and mode != "phrygian":
            sounding = [note.pitch.step for line in score.lines if (note := line.at(at)) is not None]
            assert sounding.count(seventh) <= 1


def consonant_when_struck(score: Score, note: Note) -> bool:
    at = note.onset_quarters
    sounding = [other for line in score.lines if (other := line.at(at)) is not None]
    bass = min(sounding, key=lambda other: other.pitch.midi)
    return all(
        size(note.pitch, other.pitch) in (CONSONANT_WITH_BASS if bass in (note, other) else CONSONANT_ABOVE)
        for other in sounding
        if other is not note
    )


@every_drill
def test_its_lines_can_be_sung(exercise: Exercise) -> None:
    score = score_of(exercise)
    for line in score.lines:
        for before, after in pairwise(line.notes):
            letters = after.pitch.diatonic - before.pitch.diatonic
            move = (abs(letters), abs(after.pitch.midi - before.pitch.midi))
            sixth_up = move == (5, 8) and letters > 0
            assert move in SINGABLE_MOVES or sixth_up, f"{line.name}: {before.pitch} {after.pitch}"
        for first, second in pairwise(steps(line)):
            if abs(first) >= 4:
                assert first * second < 0, f"{line.name}: a leap that does not turn back"
                assert abs(second) <= 2
            assert not (abs(first) > 2 and abs(second) > 2 and first * second > 0), f"{line.name}: two leaps one way"
    line = sung_line(score)
    heights = Counter(note.pitch.diatonic for note in line.notes)
    assert len(heights) >= 5
    assert sum(abs(step) <= 1 for step in steps(line)) >= 0.6 * len(steps(line))


@every_drill
def test_the_line_to_sing_has_one_high_point_inside(exercise: Exercise) -> None:
    heights = [note.pitch.diatonic for note in sung_line(score_of(exercise)).notes]
    assert heights.count(max(heights)) == 1
    assert 0 < heights.index(max(heights)) < len(heights) - 1


@every_drill
def test_it_begins_and_closes_on_its_final(exercise: Exercise) -> None:
    score = score_of(exercise)
    final, mode = split_mode(exercise.mode)
    bass = score.lines[-1].notes
    assert f"{bass[-1].pitch.step}{bass[-1].pitch.accidental}" == final
    assert f"{bass[0].pitch.step}{bass[0].pitch.accidental}" == final
    last = [line.notes[-1].pitch for line in score.lines]
    assert {size(last[-1], pitch) for pitch in last} <= {(0, 0), (4, 7), (2, 4)}, (
        "the last chord has no third or a major one"
    )
    # the close: one voice a step down to the final, another a step up, a semitone but for phrygian
    closes = [(line.notes[-2].pitch, line.notes[-1].pitch) for line in score.lines]
    to_final = [(a, b) for a, b in closes if f"{b.step}{b.accidental}" == final]
    down = [a.midi - b.midi for a, b in to_final if a.diatonic - b.diatonic == 1]
    up = [b.midi - a.midi for a, b in to_final if b.diatonic - a.diatonic == 1]
    assert down == ([1] if mode == "phrygian" else [2])
    assert up == ([2] if mode == "phrygian" else [1])


@every_drill
def test_signs_outside_the_signature_stand_only_at_the_close(exercise: Exercise) -> None:
    score = score_of(exercise)
    fifths = score.keys[0][1].fifths
    raised = {"FCGDAEB"[i % 7]: 1 for i in range(fifths)} | {"BEADGCF"[i % 7]: -1 for i in range(-fifths)}
    bar = score.meters[0][1].bar_quarters
    for line in score.lines:
        for note in line.notes:
            if note.pitch.alter != raised.get(note.pitch.step, 0):
                assert note.end_quarters > score.end_quarters - 2 * bar, f"{note.pitch} in the {line.name}"
