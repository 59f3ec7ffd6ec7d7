"""Chorales that ship inside music21 (a general library), read in place, sung by the simulated singer.

The encodings are not ours to copy: each is written to the test's own temporary folder and nowhere else.
"""

from __future__ import annotations

import functools
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from heldline_command import heldline, judged, save, signs, written_notes
from simulated_singer import Throat, sing
from slips import Performance, SungNote, at_pitch, missing

QPM = 60
LEAD_S = 1.0


@dataclass(frozen=True, slots=True)
class Chorale:
    """What music21 itself says of a score: the sung line, ties joined, and where bar 1 begins."""

    stream: Any
    pickup_quarters: float
    lines: tuple[tuple[tuple[float, float, int], ...], ...]

    def performance(self, line: int) -> Performance:
        second = 60 / QPM
        return tuple(
            SungNote(k, LEAD_S + onset * second, LEAD_S + (onset + length) * second, float(midi))
            for k, (onset, length, midi) in enumerate(self.lines[line])
        )

    @property
    def starts_at_s(self) -> float:
        return LEAD_S + self.pickup_quarters * 60 / QPM

    @property
    def seconds(self) -> float:
        return LEAD_S + max(line[-1][0] + line[-1][1] for line in self.lines) * 60 / QPM + 1


@functools.cache
def chorale(name: str) -> Chorale:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from music21 import corpus

        stream: Any = corpus.parse(name)
        lines = tuple(
            tuple(
                (float(note.offset), float(note.quarterLength), int(note.pitch.midi))
                for note in part.flatten().stripTies().notes
            )
            for part in _as_sounded(stream).parts
        )
        measures = list(stream.parts[0].getElementsByClass("Measure"))
    first = measures[0]
    full = float(first.barDuration.quarterLength)
    short = float(first.duration.quarterLength)
    return Chorale(stream, short if short < full else 0.0, lines)


def _as_sounded(stream: Any) -> Any:
    """Repeats written out, where there are any."""
    signs = stream.recurse().getElementsByClass("RepeatMark")
    return stream.expandRepeats() if signs else stream


def written(piece: Chorale, folder: Path, kind: str) -> Path:
    place = folder / f"chorale.{kind}"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        piece.stream.write({"musicxml": "musicxml", "mid": "midi"}[kind], fp=str(place))
    return place


VOICES = ("soprano", "alto", "tenor", "bass")
SEX = {"soprano": "women", "alto": "women", "tenor": "men", "bass": "men"}


def take_of(piece: Chorale, score: Path, line: int, sung: Performance, folder: Path) -> dict[str, Any]:
    throat = Throat(SEX[VOICES[line]], vibrato_cents=20, legato=0.0)
    take = sing(sung, seed=line + 5, seconds=piece.seconds, throat=throat)
    recording = save(folder / "take.wav", take.samples, take.rate_hz)
    return judged(
        *("sing", score, "--voice", VOICES[line], "--input", recording),
        *("--starts-at", f"{piece.starts_at_s:.4f}", "--tempo", QPM),
    )


@pytest.mark.parametrize("kind", ["musicxml", "mid"])
@pytest.mark.parametrize("name", ["bach/bwv66.6", "bach/bwv153.1"])
def test_the_notes_of_a_chorale_are_those_that_music21_reads(name: str, kind: str, tmp_path: Path) -> None:
    piece = chorale(name)
    score = written(piece, tmp_path, kind)
    from trainer.library import resolve

    found = resolve(str(score))
    for line, theirs in zip(found.lines, piece.lines, strict=True):
        ours = [(float(n.onset_quarters), float(n.length_quarters), n.pitch.midi) for n in line.notes]
        assert ours == list(theirs)


@pytest.mark.parametrize("line", range(4), ids=VOICES)
def test_a_chorale_sung_as_written_is_held(line: int, tmp_path: Path) -> None:
    piece = chorale("bach/bwv66.6")
    score = written(piece, tmp_path, "musicxml")
    take = take_of(piece, score, line, piece.performance(line), tmp_path)
    told = signs(take)
    assert len(told) == len(piece.lines[line])
    assert not {"off", "pulled", "silent", "octave"} & set(told)
    # eighths at sixty last half a second, less than a vibrato figure needs: a few may be unsure, none may be wrong
    assert told.count("held") >= 0.95 * len(told)


def test_faults_in_a_chorale_are_named_where_they_stand(tmp_path: Path) -> None:
    piece, line = chorale("bach/bwv66.6"), 2
    score = written(piece, tmp_path, "musicxml")
    notes = piece.performance(line)
    quarters = [k for k, (_, length, _) in enumerate(piece.lines[line]) if length >= 1][4:24]
    gone, wrong = quarters[0], quarters[9]
    around = {notes[k].midi % 12 for k in (wrong - 1, wrong, wrong + 1)}
    at = piece.lines[line][wrong][0]
    around |= {m % 12 for other in piece.lines for o, n, m in other if o < at + 1 and o + n > at}
    other = next(
        notes[wrong].midi + step for step in (3, -3, 4, -4, 6, 1) if (notes[wrong].midi + step) % 12 not in around
    )
    take = take_of(piece, score, line, at_pitch(missing(notes, gone), wrong, other), tmp_path)
    told = signs(take)
    assert (told[gone], told[wrong]) == ("silent", "off")
    assert not {"off", "pulled", "silent", "octave"} & {sign for k, sign in enumerate(told) if k not in (gone, wrong)}
    expected = written_notes(take)[wrong]
    assert (expected["bar"], expected["beat"]) == place_of(piece, at)


def place_of(piece: Chorale, at: float) -> tuple[int, float]:
    """Bar and beat by hand: 4/4 after the pickup, which is bar 0."""
    since = at - piece.pickup_quarters
    return int(since // 4) + 1, since % 4 + 1


def test_a_chorale_can_be_heard_without_one_voice(tmp_path: Path) -> None:
    import soundfile

    piece = chorale("bach/bwv66.6")
    out = tmp_path / "three.wav"
    done = heldline("hear", written(piece, tmp_path, "musicxml"), "--without", "alto", "--tempo", QPM, "-o", out)
    assert done.status == 0, done.err
    sound, rate_hz = soundfile.read(out)
    assert len(sound) / rate_hz == pytest.approx(piece.seconds - LEAD_S - 1, abs=3)
