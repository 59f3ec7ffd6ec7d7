"""Made-up scores of a few notes: clashes with the bass, names of notes, and where targets lie on the frames."""

from __future__ import annotations

from fractions import Fraction

from audio.heard import Anchor
from nets import Chance, Net
from trainer.judge.clash import clashes
from trainer.judge.naming import Naming
from trainer.judge.spans import Spans
from trainer.practice.plan import Plan, make_plan
from trainer.practice.settings import Settings
from trainer.practice.timemap import TimeMap
from trainer.score.model import Key, Line, Note, Score
from trainer.score.pitch import Pitch
from trainer.score.time import Meter

VOICES = ("soprano", "alto", "tenor", "bass")
RANGES = {"soprano": (60, 79), "alto": (55, 72), "tenor": (48, 67), "bass": (40, 60)}
NAMES = {0: ("C", 0), 1: ("C", 1), 2: ("D", 0), 3: ("E", -1), 4: ("E", 0), 5: ("F", 0), 6: ("F", 1), 7: ("G", 0), 8: ("G", 1),
         9: ("A", 0), 10: ("B", -1), 11: ("B", 0)}  # fmt: skip
SHARPER = {3: ("D", 1), 10: ("A", 1), 1: ("D", -1), 8: ("A", -1)}


def spelled(midi: int, *, otherwise: bool = False) -> Pitch:
    """A name for the key, the usual one or the other."""
    step, alter = (SHARPER if otherwise else {}).get(midi % 12) or NAMES[midi % 12]
    return Pitch(step, alter, (midi - Pitch(step, alter, 0).midi) // 12)


def a_score(
    chance: Chance, *, lengths: tuple[int, ...] = (4, 4, 2, 2, 6, 8), most: int = 20, signed: bool = True
) -> Score:
    """Two to four voices whose notes go their own ways, some over a bar's first beat; rests in them."""
    count = chance.of(2, 2, 3, 4)
    voices = VOICES if count == 4 else (*VOICES[: count - 1], "bass")
    white = (0, 2, 4, 5, 7, 9, 11) if chance.happens(70) else tuple(range(12))
    lines = []
    for voice in voices:
        low, high = RANGES[voice]
        notes, at, midi = [], Fraction(chance.of(0, 0, 2)), chance.whole(low, high)
        while at < most:
            length = Fraction(chance.of(*lengths))
            midi = min(max(midi + chance.of(-4, -3, -2, -1, 0, 1, 2, 3, 5, 7), low), high)
            while midi % 12 not in white:
                midi += 1
            if not chance.happens(12):
                pitch = spelled(midi, otherwise=chance.happens(10))
                notes.append(Note(at, length, pitch, breath_after=chance.happens(8)))
            at += length
        lines.append(Line(voice, tuple(notes or [Note(Fraction(0), Fraction(4), spelled(low))])))
    keys = ((Fraction(0), Key(chance.of(-4, -1, 0, 2, 5), "major")),) if signed and chance.happens(60) else ()
    meter = Meter.parse(chance.of("4/4", "4/4", "2/2", "3/2", "3/4"))
    return Score("Made up", tuple(lines), ((Fraction(0), meter),), keys)


def some_clashes(chance: Chance) -> object:
    """Every line's."""
    score = a_score(chance, lengths=(4, 4, 4, 2, 2, 6))
    plan = make_plan(score, tuple(range(len(score.lines))), Settings())
    return [clashes(score, plan.bars, line.line_index, line.targets) for line in plan.lines]


def some_names(chance: Chance) -> object:
    """What pitches are called in a score, near the middle between two semitones too."""
    score = a_score(chance)
    naming = Naming(score, chance.of(0, 0, 1_800, -3_200))
    return [naming.name(10_000 * chance.whole(36, 84) + chance.of(0, 4_999, 5_000, -5_000, -5_001)) for _ in range(12)]


def a_plan(chance: Chance, score: Score) -> tuple[Plan, int, TimeMap]:
    """One line of a score, in a time that may wait or change."""
    line = chance.whole(0, len(score.lines) - 1)
    tempo = Fraction(chance.of(60, 90, 120, 240))
    anchors = [Anchor(chance.of(0, 12_000), Fraction(0), tempo)]
    if chance.happens(40):
        quarters = Fraction(chance.of(4, 6, 8))
        frame = anchors[0].frame + int(quarters * 60 * 24_000 / tempo)
        anchors += [Anchor(frame, quarters, Fraction(0)), Anchor(frame + 30_000, quarters, tempo * chance.of(1, 2))]
    return make_plan(score, (line,), Settings()), line, TimeMap(anchors)


def some_spans(chance: Chance) -> object:
    """Where targets, their parts and their neighbours lie."""
    score = a_score(chance, lengths=(4, 2, 2, 1, 8))
    plan, line, time = a_plan(chance, score)
    spans = Spans(plan, plan.lines[0], time)
    told: list[object] = []
    for target in plan.lines[0].targets:
        told += [spans.bounds(target), spans.whole(target), spans.beat_frames(target), spans.own_around(target)]
        told += [spans.nothing_follows(target), spans.neighbours(target)]
        middle = (target.onset_quarters + target.end_quarters) / 2
        told += [spans.span(target, target.onset_quarters, middle), spans.span(target, middle, target.end_quarters)]
        if target.pitch is not None:
            told += [spans.on_time_frames(target, ms) for ms in (80, 40, 400)]
    return told, spans.all_notes(line)


NETS = (
    Net("clashes", ("clash",), some_clashes, 300),
    Net("names", ("naming",), some_names, 200),
    Net("spans", ("spans",), some_spans, 120),
)
