"""One line a bar, label first, nothing drawn: for screen readers, logs and grep."""

from __future__ import annotations

from trainer.practice.signs import COUNTED_AS_HELD, Sign
from trainer.practice.take import BeatVerdict, NoteVerdict, Take
from trainer.reports.wording import bar_words, beat_words, begun, cents_words, note_words


def bar_lines(take: Take) -> list[str]:
    """One line for every bar of the take, as in ``Bar 5 beat 1: pulled to soprano, F#4 heard for B3``."""
    notes: dict[int, list[NoteVerdict]] = {}
    beats: dict[int, list[BeatVerdict]] = {}
    for note in take.notes:
        notes.setdefault(note.bar, []).append(note)
    for beat in take.beats:
        beats.setdefault(beat.bar, []).append(beat)
    return [_line(notes.get(bar, []), beats.get(bar, [])) for bar in sorted(set(notes) | set(beats))]


def _line(notes: list[NoteVerdict], beats: list[BeatVerdict]) -> str:
    told = [(note.beat, note_words(note)) for note in notes if note.signs != (Sign.HELD,)]
    mentioned = {beat for beat, _ in told}
    for beat in beats:
        if beat.beat in mentioned or beat.sign in (*COUNTED_AS_HELD, Sign.REST) or _same_as_its_note(beat, notes):
            continue
        told.append((beat.beat, _beat_words(beat)))
    label = begun(bar_words((notes or beats)[0])) if (notes or beats) else ""
    if not told:
        resting = beats and all(beat.sign is Sign.REST for beat in beats)
        return f"{label}: {'rest' if resting else 'held'}"
    told.sort()
    first, *others = told
    line = f"{label} beat {beat_words(first[0])}: {first[1]}"
    return line + "".join(f"; beat {beat_words(beat)}: {words}" for beat, words in others)


def _beat_words(beat: BeatVerdict) -> str:
    tuned = beat.sign in (Sign.SHARP, Sign.FLAT) and beat.cents is not None
    return cents_words(beat.cents or 0) if tuned else beat.sign.value


def _same_as_its_note(beat: BeatVerdict, notes: list[NoteVerdict]) -> bool:
    """Whether the beat only says again what its note's line says."""
    before = [note for note in notes if note.beat <= beat.beat]
    return bool(before) and before[-1].sign is beat.sign
