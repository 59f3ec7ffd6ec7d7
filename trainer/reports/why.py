"""The numbers behind one beat: what was written, what was heard, and the rule that made the sign."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any

from trainer.practice.signs import Sign
from trainer.practice.take import BeatVerdict, NoteVerdict, Performance, Take
from trainer.reports.wording import bar_words, beat_words, begun, cents_words, ms_words, second_words


def parse_place(text: str) -> tuple[int, Fraction] | None:
    """Bar and beat of "5", "5.1" or "5.2.5" (bar 5, beat 2.5); None for anything else."""
    match = re.fullmatch(r"(\d{1,6})(?:\.(\d{1,4}(?:\.\d{1,6})?))?", text.strip())
    return None if match is None else (int(match[1]), Fraction(match[2] or 1))


def why(take: Take, bar: int, beat: Fraction) -> str | None:
    """Everything known of the beat, or of the note at a place inside it (beat 2.5); None when the take has no such beat."""
    inside = [one for one in take.beats if one.bar == bar and one.beat <= beat < one.beat + 1]
    lines: list[str] = []
    if inside:
        lines += _of_beat(inside[-1])
    if not inside or inside[-1].sign is not Sign.REST:
        for note in _sounding(take, bar, beat):
            lines += _of_note(note, take)
    return "\n".join(lines) or None


def _sounding(take: Take, bar: int, beat: Fraction) -> list[NoteVerdict]:
    """The written notes that sound in a whole beat, or at one place inside it."""
    written = [note for note in take.notes if note.expected is not None]
    begun_there = [note for note in written if note.bar == bar and beat < note.beat < beat + 1]
    before = [note for note in written if (note.bar, note.beat) <= (bar, beat)]
    held_on = [note for note in before[-1:] if _beats_since(take, note, bar, beat) < note.length_beats]
    return held_on + (begun_there if beat.denominator == 1 else [])


def _beats_since(take: Take, note: NoteVerdict, bar: int, beat: Fraction) -> Fraction:
    """Beats from a note's start to a place after it."""
    last_beats = {one.bar: one.beat for one in take.beats if note.bar <= one.bar < bar}
    return sum(last_beats.values(), beat - note.beat)


def why_json(performance: Performance, bar: int, beat: Fraction) -> dict[str, Any]:
    """The same for programs: one table a sung line, its words None where the line has no such beat."""
    return {
        "schema": "heldline.why/1",
        "bar": bar,
        "beat": float(beat),
        "lines": [{"voice": take.voice, "says": why(take, bar, beat)} for take in performance.takes],
    }


def _of_beat(beat: BeatVerdict) -> list[str]:
    told = beat.sign.value
    if beat.cents is not None:
        told += f", {cents_words(beat.cents)}"
    if beat.sung and beat.sung != beat.expected:
        told += f", {beat.sung} heard for {beat.expected}"
    if beat.pulled_to:
        told += f", the {beat.pulled_to}'s note"
    return [f"{begun(bar_words(beat))} beat {beat_words(beat.beat)}: {told} (from the sound of this beat alone)"]


def _of_note(note: NoteVerdict, take: Take) -> list[str]:
    pairs = [
        (
            "note",
            f"{note.expected}, from {bar_words(note)} beat {beat_words(note.beat)}, "
            f"{beat_words(note.length_beats)} beat{'' if note.length_beats == 1 else 's'} long",
        ),
        ("sign", ", ".join(sign.value for sign in note.signs)),
        ("because", rule(note, take)),
        ("heard", note.sung or ("nothing" if note.start_s is None else "no note that can be named")),
    ]
    if note.start_s is not None and note.end_s is not None:
        pairs.append(
            ("from", f"{second_words(note.start_s, digits=2)} to {second_words(note.end_s, digits=2)} s of the take")
        )
    if note.cents is not None:
        about = f", give or take {note.uncertainty_cents} (95 of 100)" if note.uncertainty_cents is not None else ""
        pairs.append(("tuning", f"{cents_words(note.cents)}{about}"))
    if note.onset_error_ms is not None:
        pairs.append(("begun", ms_words(note.onset_error_ms)))
    if note.release_error_ms is not None:
        end = note.release_error_ms
        pairs.append(
            ("left", "at its end" if end == 0 else f"{abs(end)} ms {'after' if end > 0 else 'before'} its end")
        )
    if note.also_note_of:
        pairs.append(("also", f"the note of the {' and '.join(note.also_note_of)}"))
    if note.scoop_cents:
        pairs.append(
            ("slid", f"into it from {abs(note.scoop_cents)} cents {'above' if note.scoop_cents > 0 else 'below'}")
        )
    if note.vibrato is not None:
        pairs.append(("vibrato", f"{note.vibrato.rate_hz:.1f} a second, {note.vibrato.extent_cents} cents each way"))
    pairs += [(name, value) for name, value in note.why]
    label = max(len(name) for name, _ in pairs) + 3
    return [f"  {name + ':':<{label}}{value}" for name, value in pairs]


def rule(note: NoteVerdict, take: Take) -> str:
    """The rule that made the main sign, with its limits."""
    held = take.settings.tolerance_cents
    return {
        Sign.SILENT: "surely nothing was sung in it",
        Sign.UNSURE: "there was not enough, or not clear enough, sound to say",
        Sign.PULLED: f"more than 70 cents away, on the note of the {note.pulled_to or 'other voice'}, and following it",
        Sign.OFF: "more than 50 cents away from what is written" if note.sung is None else "more than 70 cents away",
        Sign.OCTAVE: "the right note in another octave than the rest of the take",
        Sign.SHARP: f"more than {held} cents above, up to 70",
        Sign.FLAT: f"more than {held} cents below, up to 70",
        Sign.LATE: f"begun more than {take.on_time_ms} ms (or a quarter of the shortest neighbour) after its beat",
        Sign.EARLY: f"begun more than {take.on_time_ms} ms (or a quarter of the shortest neighbour) before its beat",
        Sign.LEFT_EARLY: "left well before its end",
        Sign.BREATH: "a breath that returned to its own note; counted as held",
        Sign.HELD: "right note and on time" if take.source == "keyed" else f"right note, within {held} cents, on time",
        Sign.REST: "nothing is written here",
    }[note.sign]
