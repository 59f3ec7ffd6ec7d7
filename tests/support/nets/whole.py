"""Whole takes of made-up scores, sung and keyed, with everything that goes wrong in takes; beats as they are shown and at the end."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from heard_frames import Sung, frames
from told_of_takes import notes_of, rest_of

from audio.heard import OPEN_KEY, UNTIMED, Anchor, Gap, Heard, KeyNote, PitchFrame
from audio.units import RATE_HZ
from nets import Chance, Net
from nets.scores import a_score
from trainer.practice.event import BeatOver
from trainer.practice.settings import Settings
from trainer.score.model import Note, Score
from trainer.takes.judging import judge

BEGIN_S = 0.5


def some_settings(chance: Chance, qpm: int) -> Settings:
    """Every setting that the judge looks at."""
    return Settings(
        a4_hz=chance.of(440.0, 440.0, 443.0),
        against=chance.of("equal", "equal", "pure"),
        tolerance_cents=chance.of(25, 25, 15, 35),
        octave=chance.of("steady", "steady", "steady", "strict", "free"),
        tempo_qpm=Fraction(qpm),
        starts_at_s=Fraction(BEGIN_S),
        alone=chance.happens(20),
        delay_known=not chance.happens(10),
    )


def sung_note(chance: Chance, score: Score, line: int, note: Note, begin: float, end: float) -> list[Sung]:
    """One note as written, or with one of the usual faults."""
    midi, lasts = float(note.pitch.midi), end - begin
    right = Sung(begin, end - 0.02, midi + chance.whole(-12, 12) / 100, level_db10=chance.of(-250, -260))
    other = chance.of(*[one for k, one in enumerate(score.lines) if k != line])
    theirs = next((n for n in other.notes if n.onset_quarters <= note.onset_quarters < n.end_quarters), note)
    follows = theirs.pitch.midi + 12 * round((midi - theirs.pitch.midi) / 12)
    match chance.whole(0, 21):
        case 0:
            return []
        case 1:
            return [replace(right, midi=midi + chance.of(-1, 1) * chance.of(25, 30, 38, 50, 60, 69, 72) / 100)]
        case 2:
            return [replace(right, midi=midi + chance.of(12, -12, 24))]
        case 3:
            return [replace(right, start_s=begin + chance.of(0.09, 0.105, 0.12, 0.2, 0.3))]
        case 4:
            return [replace(right, start_s=begin - chance.of(0.09, 0.105, 0.12, 0.2))]
        case 5:
            return [replace(right, end_s=end - lasts * chance.of(0.15, 0.2, 0.25, 0.5, 0.8))]
        case 6:
            middle, gap = begin + lasts / 2, chance.of(0.1, 0.15, 0.2, 0.3, 0.6)
            return [replace(right, end_s=middle), replace(right, start_s=middle + gap)]
        case 7 | 8:
            return [replace(right, midi=float(follows))]
        case 9:
            return [
                replace(right, end_s=begin + lasts / 3),
                replace(right, start_s=begin + lasts / 3, midi=float(follows)),
            ]
        case 10:
            return [replace(right, midi=midi + chance.of(1, 2, -3, 4))]
        case 11:
            return [replace(right, entry_cents=chance.of(-120.0, -60.0, 90.0))]
        case 12:
            return [replace(right, vibrato_cents=chance.of(25.0, 60.0))]
        case 13:
            return [replace(right, level_db10=chance.of(-390, -400, -489, -500))]
        case 14:
            middle = begin + lasts / 2
            return [replace(right, end_s=middle), replace(right, start_s=middle, midi=midi + chance.of(-0.4, 1.0, 0.3))]
        case _:
            return [right]


def heard_of(chance: Chance, score: Score, line: int, qpm: int) -> tuple[list[PitchFrame], float]:
    """Frames of one sung line, with noise, something in a rest, other sound, and its end in seconds."""

    def second(quarters: Fraction) -> float:
        return BEGIN_S + float(quarters) * 60 / qpm

    shift, sinks = chance.of(0, 0, 0, 0, 12, -12, -24), chance.of(0, 0, 0, -6, 4)
    sung: list[Sung] = []
    for k, note in enumerate(score.lines[line].notes):
        for part in sung_note(chance, score, line, note, second(note.onset_quarters), second(note.end_quarters)):
            sung.append(replace(part, midi=part.midi + shift + sinks * k / 100))
    for at, length in score.lines[line].rests(score.end_quarters):
        if chance.happens(40):
            begin = second(at) + chance.of(0.0, 0.1, 0.2)
            last = second(at + length) + chance.of(-0.1, 0.0, 0.2)
            sung.append(Sung(begin, max(begin + 0.2, last), chance.of(57.0, 60.0, 62.0) + shift))
    if chance.happens(25):
        sung = [replace(one, midi=one.midi + 2) for one in sung]
    sung.sort(key=lambda one: one.start_s)
    end = second(score.end_quarters) + 0.4
    floor = chance.of(-700, -700, -430)
    heard = list(frames(sung, end - chance.of(0, 0, 0, 0, 1.0), floor_db10=floor))
    match chance.whole(0, 9):
        case 0:  # several tones at once, or a canceller
            clear, left = chance.of(300, 650, 750), chance.of(-1_200, -500)
            heard = [replace(f, confidence=min(f.confidence, clear), level_db10=max(f.level_db10, -300), residual_db10=-320,
                             echo_db10=left if f.voiced else -1_200) for f in heard]  # fmt: skip
        case 1:  # noise
            begin = chance.whole(RATE_HZ, 3 * RATE_HZ)
            heard = [replace(f, voiced=False, confidence=60, level_db10=-220) if begin <= f.centre_frame < begin + 30_000 else f
                     for f in heard]  # fmt: skip
        case 2:  # a canceller that left little of us
            heard = [replace(f, echo_db10=-500) for f in heard]
        case _:
            pass
    return heard, end


def a_sung_take(chance: Chance) -> object:
    """One line of a score of some seconds."""
    score, qpm = a_score(chance, lengths=(4, 2, 2, 2, 3, 6), most=14), chance.of(150, 180, 240)
    line = chance.whole(0, len(score.lines) - 1)
    frames_heard, _ = heard_of(chance, score, line, qpm)
    heard: list[Heard] = list(frames_heard)
    if chance.happens(15) and len(heard) > 400:
        first = chance.whole(100, len(heard) - 200)
        last = first + chance.of(40, 100)
        gap = Gap(frames_heard[first].centre_frame, frames_heard[last].centre_frame, chance.of("lost", UNTIMED))
        heard = [*heard[:first], gap, *(heard[first:] if gap.why == UNTIMED else heard[last:])]
    return told(chance, score, (line,), heard, some_settings(chance, qpm))


def told(
    chance: Chance, score: Score, lines: tuple[int, ...], heard: list[Heard], settings: Settings, source: str = "sung"
) -> object:
    """The take and, of some, the beats as they were shown."""
    shown: list[BeatOver] = []
    anchors: tuple[Anchor, ...] = ()
    if source == "keyed" or chance.happens(20):
        anchors = (Anchor(int(BEGIN_S * RATE_HZ), Fraction(0), settings.tempo_qpm or Fraction(60)),)
    listen = shown.append if chance.happens(50) else None
    done = judge(score, lines, heard, settings=settings, anchors=anchors, sources=(source,) * len(lines), listen=listen)
    return [[*notes_of(take), *rest_of(take)] for take in done.takes], shown


def two_singers(chance: Chance) -> object:
    """Two lines side by side."""
    score, qpm = a_score(chance, lengths=(4, 2, 2, 6), most=10), 240
    both = [heard_of(chance, score, line, qpm)[0] for line in (0, 1)]
    merged = [*both[0], *(replace(frame, line=1) for frame in both[1])]
    heard: list[Heard] = sorted(merged, key=lambda frame: (frame.centre_frame, frame.line))  # type: ignore[assignment]
    return told(chance, score, (0, 1), heard, some_settings(chance, qpm))


def a_keyed_take(chance: Chance) -> object:
    """Keys that are late, wrong, held, let go, in rests, too many; with the beats that a live take tells."""
    score, qpm = a_score(chance, lengths=(4, 2, 2, 1, 6, 8), most=14), chance.of(60, 120, 180)
    line = chance.whole(0, len(score.lines) - 1)
    quarter, first = 60 * RATE_HZ // qpm, int(BEGIN_S * RATE_HZ)
    shift = chance.of(0, 0, 0, 12, -24)
    other = chance.of(*[one for k, one in enumerate(score.lines) if k != line])
    keys = []
    for note in score.lines[line].notes:
        if chance.happens(12):
            continue
        begin = first + int(note.onset_quarters * quarter) + chance.of(0, 0, 0, 960, 961, -960, -961, 2_400, 12_000)
        end = (
            first
            + int(note.end_quarters * quarter)
            - chance.of(0, 100, 100, 3_600, 3_601, 14_400, 14_401, quarter // 2 + 1, 30_000)
        )
        midi = note.pitch.midi + chance.of(0, 0, 0, 0, 0, 12, 1, -2)
        if chance.happens(15):
            theirs = next((n for n in other.notes if n.onset_quarters <= note.onset_quarters < n.end_quarters), note)
            midi = theirs.pitch.midi
        keys.append(KeyNote(0, begin, max(end, begin + 1), midi + shift, chance.of(64, 90)))
        if chance.happens(8):
            keys.append(KeyNote(0, begin + 500, begin + 3_000, midi + shift + 1))
    for at, length in score.lines[line].rests(score.end_quarters):
        if chance.happens(50):
            begin = first + int(at * quarter) + chance.of(0, 0, 100, -1)
            keys.append(KeyNote(0, begin, begin + int(length * quarter) // chance.of(1, 2), 60 + shift))
    heard: list[tuple[int, Heard]] = []
    for key in keys:
        if chance.happens(30):
            heard.append((key.on_frame, replace(key, off_frame=OPEN_KEY)))
            if chance.happens(30):
                continue
        heard.append((key.off_frame, key))
    end = int(score.end_quarters)
    if chance.happens(60):
        waits, later = chance.of(end, end, 3, 6), 0
        for beat in range(end + 1):
            heard.append(
                (first + beat * quarter + later, Anchor(first + beat * quarter + later, Fraction(beat), Fraction(qpm)))
            )
            if beat == waits < end:
                at, later = first + beat * quarter, 12_000
                heard = [
                    (frame + later, _later(record, later)) if frame >= at else (frame, record)
                    for frame, record in heard
                ]
                heard.append((at, Anchor(at, Fraction(beat), Fraction(0))))
    if chance.happens(15):
        begin = first + chance.of(0, 2, 5) * quarter
        heard.append((begin, Gap(begin, begin + quarter * chance.of(1, 3), chance.of("lost", UNTIMED))))
    heard.sort(key=lambda one: one[0])
    return told(chance, score, (line,), [record for _, record in heard], some_settings(chance, qpm), "keyed")


def _later(record: Heard, frames_later: int) -> Heard:
    match record:
        case KeyNote():
            on, off = record.on_frame + frames_later, record.off_frame
            return replace(record, on_frame=on, off_frame=off if off == OPEN_KEY else off + frames_later)
        case Anchor():
            return replace(record, frame=record.frame + frames_later)
        case _:
            return record


HEARD_BY = (
    "beats", "clash", "company", "drive", "ear", "engine", "faint", "figure", "hum", "listening", "naming", "octave", "onset",
    "phonation", "pitchline", "pull", "reading", "remarks", "rests", "running", "span", "spans", "sung", "tail", "trend", "words",
)  # fmt: skip
KEYED_BY = (
    "beats",
    "clash",
    "drive",
    "engine",
    "keyed",
    "keyline",
    "naming",
    "pull",
    "remarks",
    "runningkeys",
    "spans",
    "words",
)
NETS = (
    Net("keyed takes", KEYED_BY, a_keyed_take, 150, 10),
    Net("sung takes", HEARD_BY, a_sung_take, 100, 5),
    Net("two singers", ("engine", "drive", "running"), two_singers, 6, 1),
)
