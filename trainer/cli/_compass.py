"""Today's voice and the line to sing: where it does not lie within, the octave is chosen, another key is offered, and both are said."""

from __future__ import annotations

import argparse
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from trainer.log.singer import DaysCompass, SingerMemory
from trainer.places import places

if TYPE_CHECKING:
    from trainer.live.wish import Wish
    from trainer.score.model import Score
    from trainer.score.naming import Names

ALLOWED_OUTSIDE = 1
"""A semitone over the usual limit is nobody's trouble in a section (our own)."""

BELIEVED_DAYS = 7
"""A compass of a week ago says something still; a changing voice's may not, so its day is told (our own)."""


def known_compass() -> DaysCompass | None:
    """The singer's latest compass, not older than a week."""
    found = SingerMemory(places().singer).compass(date.today())
    return found if found is not None and (date.today() - found.day).days <= BELIEVED_DAYS else None


def offered(args: argparse.Namespace, wish: Wish) -> Wish:
    """*wish* where its line lies in the singer's compass, or with the key in which it would; itself where no compass is known."""
    compass = known_compass()
    notes = [note.pitch.midi for note in wish.score.lines[wish.line_index].notes]
    if compass is None or not notes:
        return wish
    from trainer.cli._options import names_from
    from trainer.score.naming import lettered
    from trainer.score.pitch import spelled_midi
    from trainer.singable.fit import fit, outside

    names = names_from(args)

    line, reach = (min(notes), max(notes)), (compass.lowest, compass.highest)
    if outside(line, reach, 12 * wish.octaves) == 0:
        return wish
    asked = args.own_octave is not None
    place = fit(line, reach)
    if place.semitones == 0 and not asked and place.octaves != wish.octaves:
        return replace(wish, octaves=place.octaves, notice=_octave_words(place.octaves, compass, names))
    fifths = wish.score.keys[0][1].fifths if wish.score.keys else 0
    here = [lettered(spelled_midi(midi + 12 * wish.octaves, fifths=fifths), names) for midi in line]
    told = f"Your line goes from {here[0]} to {here[1]}, your voice {compass_words(compass, names)}."
    if place.outside >= outside(line, reach, 12 * wish.octaves):
        narrow = f"heldline library --compass {span_words(compass)} lists lines within it."
        return replace(wish, notice=_joined(wish.notice, told, narrow))
    octave = f" and --own-octave {place.octaves}" if place.octaves != wish.octaves else ""
    way = way_words(wish.score, place.semitones, names)
    fits = "it fits" if place.outside == 0 else f"{place.outside} semitones of it lie outside"
    return replace(wish, notice=_joined(wish.notice, f"{told} With {way}{octave} {fits}."))


def compass_words(compass: DaysCompass, names: Names) -> str:
    """As in "today from A2 to E4"."""
    from trainer.score.naming import lettered
    from trainer.score.pitch import spelled_midi

    days = (date.today() - compass.day).days
    when = {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")
    lowest, highest = (lettered(spelled_midi(midi), names) for midi in (compass.lowest, compass.highest))
    return f"{when} from {lowest} to {highest}"


def span_words(compass: DaysCompass | None) -> str:
    """As in "A2-E4", which commands take; "" for none."""
    from trainer.score.pitch import spelled_midi

    return "" if compass is None else f"{spelled_midi(compass.lowest)}-{spelled_midi(compass.highest)}"


def _octave_words(octaves: int, compass: DaysCompass, names: Names) -> str:
    from trainer.cli._octave import WHERE

    where = WHERE.get(octaves, "as written")
    return (
        f"Your first note is given {where}, where the line fits your voice ({compass_words(compass, names)}); "
        "--own-octave says otherwise."
    )


def way_words(score: Score, semitones: int, names: Names) -> str:
    """The option that moves the piece from what is written to there, with the key in which it is then."""
    from trainer.score.moved import key_words, moved, semitones_moved

    total = semitones_moved(score) + semitones
    option = f"--up {total}" if total >= 0 else f"--down {-total}"
    try:
        key = key_words(moved(score, total), names)
    except ValueError:
        return option
    here = key_words(score, names)
    return f"{option} (in {key} instead of {here})" if key and key != here else option


def section_words(args: argparse.Namespace, score: Score, line: int) -> str:
    """What to do where the line lies outside what the section sings; "" where it lies well."""
    from trainer.cli._options import names_from
    from trainer.cli.singable import compass_said
    from trainer.score.naming import lettered
    from trainer.singable.compass import COMPASSES
    from trainer.singable.fit import FARTHEST_SEMITONES, outside

    name = score.voice_names()[line]
    usual = COMPASSES.get(name.lower())
    compass = usual if args.compass is None else compass_said(args.compass, usual or COMPASSES["alto"])
    if compass is None:
        return ""
    notes = sorted(score.lines[line].notes, key=lambda note: note.pitch.midi)
    sung, reach = (notes[0].pitch.midi, notes[-1].pitch.midi), (compass.lowest, compass.highest)
    if outside(sung, reach) <= ALLOWED_OUTSIDE:
        return ""
    names = names_from(args)
    lowest, highest = (lettered(note.pitch, names) for note in (notes[0], notes[-1]))
    told = f"The {name} goes from {lowest} to {highest}, outside what this section sings"
    ways = sorted(range(-FARTHEST_SEMITONES, FARTHEST_SEMITONES + 1), key=abs)
    way = next((one for one in ways if outside(sung, reach, one) == 0), None)
    if way is None:
        return f"{told}, and no key near brings it in: choose another score, or sing it in another octave."
    return f"{told}: {way_words(score, way, names)} brings it in."


def _joined(*told: str) -> str:
    return " ".join(one for one in told if one)
