"""Single notes, read: what was listened to lies on or beside every limit that a word has."""

from __future__ import annotations

from dataclasses import replace

from nets import Chance, Net
from trainer.judge.figure import Figure
from trainer.judge.listening import Listening
from trainer.judge.octave import steady_shift, vote
from trainer.judge.phonation import Segment
from trainer.judge.pull import Neighbour, Suspect, matches, pulled_to
from trainer.judge.reading import Frame, Reading, read
from trainer.judge.rests import extra_notes, sung_in
from trainer.judge.span import Span, folded

MS = 24
OCTAVE = 120_000
FROM = 240_000
WRITTEN = 570_000


def segment(start: int, end: int, level: int, **more: bool) -> Segment:
    """A stretch without its frames."""
    return Segment(0, 1, (0,), level, start, end, more.get("after_gap", True), more.get("before_gap", True), False)


def a_note(chance: Chance) -> tuple[Listening, Span, Frame]:
    """A note well sung, and up to three things about it at their limits."""
    length = chance.of(48_000, 24_000, 24_000, 96_000, 12_000, 6_000, chance.beside(150 * MS))
    to_frame = FROM + length
    tolerance, uncertainty = chance.of(2_500, 1_500, 3_500), chance.of(0, 300, 1_000)
    beat = chance.of(24_000, 12_000, 36_000, chance.beside(2 * 600 * MS) + 1)
    limit = max(beat // 2, 600 * MS)
    own_start, own_end = not chance.happens(20), not chance.happens(20)
    before, after = chance.of(None, WRITTEN + 20_000, WRITTEN), chance.of(None, WRITTEN - 20_000, WRITTEN)
    deviation = _deviation(chance, tolerance, uncertainty)
    shift, offset = chance.of(0, 0, 0, 1, -1), chance.of(0, 0, 1_200, -900)
    at_limits = {chance.of(*range(12)) for _ in range(chance.whole(0, 3))}
    sung = chance.beside(length // 10, 80 * MS, 250 * MS, length // 4, 230 * MS, 380 * MS) if 0 in at_limits else length
    least = max(80 * MS, length // 10)
    short = chance.beside(length // 5, 150 * MS, 100 * MS, 200 * MS, 350 * MS, 0, 1) if 1 in at_limits else 20 * MS
    body_end, body_start = to_frame - short, FROM
    if 2 in at_limits:
        body_start = FROM + chance.beside(-150 * MS, length - max(length // 4, 200 * MS))
        body_end = chance.beside(
            FROM + max(length // 4, 200 * MS), to_frame + 100 * MS, to_frame - length * 3 // 10, to_frame - 20 * MS
        )
    pitch = WRITTEN + shift * OCTAVE + offset + deviation
    body = [segment(body_start, body_end, pitch, before_gap=not chance.happens(30))]
    if 3 in at_limits and chance.happens(50):
        body.insert(0, segment(body_start, FROM + length // 3, pitch))
    silences = []
    if 3 in at_limits:
        for begin in (FROM + length // 3, body_end):
            lasts = chance.beside(150 * MS, 200 * MS, limit, 1_500 * MS, 40 * MS)
            silences += [(begin, begin + lasts)] * chance.happens(60)
    figure = Figure(
        deviation + shift * OCTAVE + offset,
        uncertainty,
        chance.beside(80) if 4 in at_limits else 500,
        4_320 * chance.happens(30),
        chance.beside(3_000) if 4 in at_limits else chance.of(0, 1_200),
        chance.of(250, 499),
    )
    strays = []
    if 5 in at_limits:
        wrong = chance.of(0, 20_000) + chance.of(0, 7_000, 7_001, -7_000, -7_001)
        strays = [segment(body_end + chance.beside(-1), body_end + chance.beside(200 * MS) - 1, WRITTEN + wrong)]
    on_time = chance.of(80 * MS, 1_500)
    onset_limit = on_time + 20 * MS
    if 6 in at_limits and chance.happens(40):
        body = []
    heard = Listening(
        tuple(body),
        tuple(strays),
        None if 4 in at_limits and chance.happens(25) else figure,
        pitch,
        sung,
        chance.beside(3 * least) if 6 in at_limits else length,
        chance.beside(100 * MS, length // 6) if 7 in at_limits else 0,
        chance.beside(350) if 8 in at_limits else 900,
        None if chance.happens(10) else FROM + (chance.beside(onset_limit, -onset_limit) if 9 in at_limits else 100),
        None if chance.happens(10) else body_end,
        True,
        False,
        chance.of(None, chance.beside(4_000, -4_000)) if 9 in at_limits else None,
        tuple(silences),
        chance.beside(sung // 2, length // 2) if 10 in at_limits else sung,
        bool(body) and 7 in at_limits and chance.happens(50),
        chance.beside(length // 3) if 6 in at_limits else 0,
    )
    whole = (FROM - (0 if own_start else 24_000), to_frame + (0 if own_end else 24_000), WRITTEN)
    span = Span(FROM, to_frame, own_start, own_end, (whole,), FROM - 12_000, to_frame + 36_000, before, after)
    frame = Frame(
        shift,
        offset,
        tolerance,
        on_time,
        beat,
        chance.happens(20),
        not chance.happens(15),
        chance.happens(15),
        chance.happens(15),
        chance.beside(length // 4) if 11 in at_limits else chance.of(0, 0, 0, 240),
        chance.happens(30),
    )
    return heard, span, frame


def moved_on(chance: Chance) -> object:
    """A note that moves on to another pitch before its end: the next note come early, a slide into it, or something else."""
    heard, span, frame = a_note(chance)
    length = span.length_frames
    allowed = max((span.whole_frames if span.own_end else length) // 5, 150 * MS)
    short = chance.of(allowed + 1, allowed + 2, 350 * MS, 350 * MS + 1, length // 2)
    ended = span.to_frame - short
    later = []
    for _ in range(chance.of(0, 1, 1, 2)):
        begin = ended + chance.of(-2, -1, -1, 0, 0, 500)
        level = (
            (span.after_c100 or WRITTEN)
            + chance.of(0, 120_000, -120_000)
            + chance.of(0, 7_000, 7_001, -7_000, -7_001, 20_000)
        )
        later.append(segment(begin, begin + chance.beside(200 * MS, 9_000), level))
    body = (segment(span.from_frame, ended, heard.pitch_c100, before_gap=chance.happens(10)),)
    changed = replace(heard, body=body, strays=tuple(later), release_frame=ended, silences=(), rings=False, sung_frames=length,
                      steady_frames=length, confidence=900)  # fmt: skip
    return read(changed, span, replace(frame, lost_frames=0, spoken=False))


def _deviation(chance: Chance, tolerance: int, uncertainty: int) -> int:
    if chance.happens(30):
        return chance.of(-1, 1) * chance.whole(0, 900)
    away = chance.beside(tolerance + uncertainty, 7_000 + uncertainty, 5_000, 5_000 + uncertainty)
    return chance.of(0, 0, 0, OCTAVE, -OCTAVE, 2 * OCTAVE, OCTAVE // 2) + chance.of(-1, 1) * away


def read_and_why(chance: Chance) -> tuple[Reading, object]:
    """The reading and its evidence."""
    reading = read(*a_note(chance))
    return reading, reading.why


def some_suspects(chance: Chance) -> object:
    """A short line of notes, some off, beside two other voices."""
    suspects: list[Suspect | None] = []
    for k in range(chance.whole(1, 4)):
        if chance.happens(10):
            suspects.append(None)
            continue
        begin, length = FROM + k * 24_000, chance.of(24_000, 23_999, 4_800)
        sung = WRITTEN + chance.of(0, 40_000, 160_000, -80_000, 20_000)
        neighbours = []
        for rank, voice in ((0, "soprano"), (1, "alto"), (3, "bass")):
            from_frame = begin + chance.of(-24_000, chance.beside(-100 * MS), chance.beside(length // 2), 0)
            to_frame = from_frame + chance.of(48_000, chance.beside(length // 2), 24_000)
            pitch = WRITTEN + chance.of(40_000, 160_000, -80_000, 0) + chance.of(0, chance.beside(5_000, -5_000))
            neighbours.append(Neighbour(rank, voice, from_frame, to_frame, pitch))
        own = tuple(WRITTEN + chance.of(-20_000, 40_000 + chance.beside(5_000, -5_000)) for _ in range(2))
        began = begin + chance.of(0, 0, chance.beside(100 * MS))
        off = not chance.happens(25)
        suspects.append(
            Suspect(
                off,
                sung,
                began,
                begin,
                begin + length,
                chance.happens(15),
                own[: chance.whole(0, 2)],
                tuple(neighbours),
            )
        )
    return pulled_to(suspects), [None if s is None else matches(s) for s in suspects]


def some_octaves(chance: Chance) -> object:
    """Deviations of a take's notes, and the octave that most of them vote for."""
    wide = [
        chance.of(*range(-3, 4)) * OCTAVE + chance.of(0, chance.beside(7_000, -7_000, 60_000))
        for _ in range(chance.whole(0, 5))
    ]
    lost = [chance.of(-400_000, -190_000, -60_000, 59_999, 60_000, 181_000, 310_000) for _ in range(chance.whole(0, 4))]
    return [vote(x) for x in wide], steady_shift(wide), steady_shift(lost), [folded(x) for x in wide + lost]


def a_rest(chance: Chance) -> object:
    """Sounds in and beside a rest, and which of them are nobody's note."""
    length = chance.of(24_000, 48_000, 12_000, 28_801)
    to_frame, beat = FROM + length, chance.of(12_000, 24_000, 14_401)
    margin = min(300 * MS, length // 4)
    steady = []
    for _ in range(chance.whole(1, 3)):
        start = FROM + chance.of(margin, margin, chance.beside(0), -6_000, length // 2, length - margin - 230 * MS)
        ends = (start + margin, to_frame, FROM + max(beat // 2, 300 * MS), start + 230 * MS, FROM + margin + 230 * MS)
        end = chance.beside(*ends, start + 250 * MS)
        level = WRITTEN + chance.of(0, 20_000, 70_000) + chance.of(0, chance.beside(6_000, -6_000))
        steady.append(segment(start, max(end, start + 1), level))
    before, after = chance.of(None, WRITTEN), chance.of(None, WRITTEN + 20_000)
    sung = sung_in(steady, (FROM, to_frame), before_c100=before, after_c100=after, beat_frames=beat)
    free = [segment(s.start_frame, s.start_frame + chance.beside(250 * MS, 12_000), s.level_c100) for s in steady]
    edge = chance.of(free[0].end_frame + 24_000, FROM)
    around = (
        edge + chance.of(0, chance.beside(0)),
        chance.of(to_frame, free[-1].start_frame - 24_000 + chance.of(-1, 0, 1)),
    )
    asked = [((free[0].start_frame, free[0].start_frame + chance.beside(free[0].length_frames // 2)), (WRITTEN,)),
             ((FROM, to_frame), (WRITTEN + 20_000, WRITTEN - 50_000)[: chance.whole(0, 2)])]  # fmt: skip
    return sung, extra_notes(free, around, asked)


NETS = (
    Net("reading", ("reading", "span"), read_and_why, 4_000),
    Net("moving on", ("reading",), moved_on, 1_000),
    Net("pulls", ("pull",), some_suspects, 1_500),
    Net("octaves", ("octave", "span"), some_octaves, 400),
    Net("rests", ("rests",), a_rest, 1_500),
)
