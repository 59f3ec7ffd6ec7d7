"""Short pitch lines in whole steps of time, pitch and level, cut into segments and listened to."""

from __future__ import annotations

from audio.heard import PitchFrame
from nets import Chance, Net
from trainer.judge.faint import without_faint
from trainer.judge.hum import without_hum
from trainer.judge.listening import Levels, listen, overlap
from trainer.judge.onset import onset, vowel
from trainer.judge.phonation import ms_to_frames, segments
from trainer.judge.pitchline import PitchLine
from trainer.judge.span import Span
from trainer.judge.tail import dies_away

HOP = 120
WRITTEN = 570_000
NEIGHBOURS = (WRITTEN, WRITTEN + 20_000, WRITTEN - 20_000)


class Writer:
    """Writes frames one after the other."""

    def __init__(self, hop: int = HOP, first: int = 0) -> None:
        self.line, self.at, self.hop = PitchLine(), first, hop

    def write(
        self, count: int, pitch: int, level: int, *, voiced: bool = True, confidence: int = 900, to: int | None = None
    ) -> None:
        """So many frames; *to* is the level that they move to."""
        for k in range(count):
            now = level if to is None else level + (to - level) * k // count
            self.line.append(PitchFrame(0, self.at, pitch, 3, voiced, confidence, now, -700))
            self.at += self.hop

    def silence(self, count: int, level: int = -700) -> None:
        """Nothing sung."""
        self.write(count, 500_000, level, voiced=False, confidence=20)


def a_melody(chance: Chance) -> Writer:
    """Some notes with gaps, slides, slips, blips, faint and uneven ones among them."""
    writer = Writer(chance.of(HOP, HOP, HOP, 240), chance.of(0, 0, -600))
    for _ in range(chance.whole(1, 5)):
        pitch = (
            WRITTEN + chance.of(0, 0, 20_000, -20_000, 120_000, -120_000, 6_000, 6_001) + chance.of(0, 0, 100, -3_000)
        )
        level = chance.of(-250, -250, -300, -400, -490, -491)
        match chance.whole(0, 8):
            case 0:  # a slide
                length = chance.of(20, 24, 25, 40)
                for k in range(length):
                    writer.write(1, pitch + chance.of(200, 400, -300) * k, level)
            case 1:  # the tracker slips
                writer.write(chance.of(10, 30), pitch, level)
                writer.write(chance.of(1, 6, 12, 13, 24), pitch + chance.of(120_000, -120_000, 30_000, 30_001), level)
                writer.write(chance.of(10, 40), pitch, level)
            case 2:  # too short
                writer.write(chance.of(1, 5, 6, 7, 19, 20, 21), pitch, level)
            case 3:  # sounds on, not voiced
                writer.write(30, pitch, level)
                count = chance.of(7, 8, 10, 27, 28)
                clear, away = chance.of(799, 800, 900), chance.of(0, 6_000, 6_001)
                writer.write(count, pitch + away, level - chance.of(0, 100, 101), voiced=False, confidence=clear)
                if chance.happens(30):
                    writer.silence(chance.of(1, 2))
                writer.write(30, pitch, level)
            case 4:  # vibrato
                for k in range(chance.of(60, 100)):
                    writer.write(1, pitch + (-1) ** (k // 18) * chance.of(1_000, 5_000), level)
            case _:
                writer.write(chance.of(20, 30, 36, 60, 100, 160), pitch, level)
        if chance.happens(60):
            writer.silence(chance.of(1, 6, 7, 8, 9, 20, 30), chance.of(-700, -700, level - 20))
    return writer


def some_segments(chance: Chance) -> object:
    """A melody's segments, whole or of a part of it."""
    writer = a_melody(chance)
    return segments(
        writer.line, chance.of(-600, 0, 0, 1_200, 1_201), writer.at - chance.of(0, 0, 240)
    ), writer.line.hop_frames


def a_span(chance: Chance, end: int) -> Span:
    """A note, or a part of one, somewhere in a melody."""
    from_frame = chance.of(0, 0, 60, 1_200, 2_400, 6_000, 7_200)
    to_frame = max(from_frame + 2_400, chance.of(end, end - 60, end // 2, end - 6_000))
    own_start, own_end = not chance.happens(25), not chance.happens(25)
    first, last = from_frame - 4_800 * (not own_start), to_frame + 4_800 * (not own_end)
    rows = ((first, last, WRITTEN),)
    if chance.happens(25):
        middle = from_frame + chance.of(1_200, 1_800)
        rows = ((first, middle, WRITTEN), (middle, last, WRITTEN - 1_400))
    beside = [chance.of(None, *NEIGHBOURS, WRITTEN + 140_000) for _ in range(2)]
    before_frame, after_frame = from_frame - chance.of(12_000, 6_000, 600), to_frame + chance.of(12_000, 36_000, 600)
    return Span(from_frame, to_frame, own_start, own_end, rows, before_frame, after_frame, *beside)


def a_listening(chance: Chance) -> object:
    """What is heard of one note in a melody."""
    writer = a_melody(chance)
    steady = segments(writer.line, writer.line.centres[0], writer.at)
    span = a_span(chance, writer.at)
    heard = listen(
        writer.line,
        steady,
        span,
        levels=Levels(chance.of(-700, -450, -251, -250), -700, chance.of(-1_200, -500, -499, -440)),
    )
    return heard, [overlap(s, span.from_frame, span.to_frame) for s in steady], span.whole_frames


def a_slide_into_a_note(chance: Chance) -> object:
    """A note, and what may lead into it: a slide of its own, the end of the note before, or another voice."""
    writer = Writer()
    before = chance.of(None, *NEIGHBOURS)
    writer.silence(100)
    if before is not None:
        writer.write(chance.of(60, 61, 80), before, -260)
    if chance.happens(60):
        writer.silence(chance.of(8, 10))
    away = chance.of(-20_000, -40_000, -40_001, 8_000, 40_000, 60_000)
    writer.write(chance.of(20, 40, 59, 60, 61), WRITTEN + away, -260)
    begins = writer.at
    writer.write(150, WRITTEN, -250)
    from_frame = begins + chance.of(0, 0, 720, -720, 1_440, 2_400, 4_800, 4_860)
    to_frame = from_frame + 24_000
    span = Span(
        from_frame,
        to_frame,
        True,
        True,
        ((from_frame, to_frame, WRITTEN),),
        from_frame - 12_000,
        to_frame + 12_000,
        before,
    )
    return listen(writer.line, segments(writer.line, 0, writer.at), span, levels=Levels(-450, -700, -700))


def an_onset(chance: Chance) -> object:
    """A note's start: consonants, swells, dips, tails, noise and the note before held on, at levels in whole steps."""
    writer = Writer()
    before = chance.of(None, WRITTEN, WRITTEN + 30_000, WRITTEN - 120_000)
    tone, full = before or 600_000, chance.of(-250, -220, -300)
    if before is None:
        writer.silence(chance.of(60, 100))
    else:
        writer.write(chance.of(60, 100), tone, -230, confidence=chance.of(900, 950))
    match chance.whole(0, 6):
        case 0:
            writer.write(
                chance.of(8, 20, 40), tone, -230, to=chance.of(-290, -330, -430), confidence=chance.of(900, 720)
            )
        case 1:
            writer.write(
                chance.of(8, 24, 40),
                550_000,
                full - chance.of(20, 30, 31, 60),
                voiced=False,
                confidence=chance.of(30, 760),
            )
        case 2:
            low = chance.of(-270, -271, -300, -380, -381)
            writer.write(
                chance.of(12, 20, 38), tone, low, voiced=chance.happens(70), confidence=chance.of(675, 676, 500, 900)
            )
        case 3:
            writer.silence(chance.of(8, 20), chance.of(-700, -400))
        case 4:
            writer.write(chance.of(12, 30), 440_000, full - 20, confidence=900)
        case _:
            pass
    begins = writer.at
    match chance.whole(0, 6):
        case 0:
            under = chance.of(40, 41, 60, 80, 120, 250, 251)
            writer.write(chance.of(5, 8, 12, 16, 30), WRITTEN, full - under)
            writer.write(chance.of(0, 2, 6, 8), WRITTEN, full - under, to=full)
        case 1:
            writer.write(chance.of(10, 30, 60), WRITTEN, full - chance.of(120, 121, 200), to=full)
        case 2:
            writer.write(chance.of(4, 10, 12), WRITTEN, full - chance.of(0, 19, 20, 21))
            writer.write(chance.of(2, 4), WRITTEN, full - chance.of(60, 61, 90))
        case 3:
            writer.write(chance.of(2, 11, 12), WRITTEN, full)
            writer.write(chance.of(2, 6, 20), WRITTEN, full - chance.of(39, 40, 41, 70))
        case 4:
            writer.write(1, WRITTEN, full - 10)
            writer.write(12, WRITTEN, full - 70 + chance.of(0, 20, 21))
        case _:
            pass
    writer.write(chance.of(30, 80, 160), WRITTEN, full)
    if chance.happens(30):
        writer.write(chance.of(2, 4), WRITTEN, full - chance.of(59, 60, 61, 100))
        writer.write(60, WRITTEN, full - chance.of(0, 20))
    line = writer.line
    for _ in range(chance.of(0, 0, 8)):
        line.levels[chance.whole(0, len(line) - 1)] += chance.of(10, -10, 11, -20)
    steady = [s for s in segments(line, 0, writer.at) if s.end_frame > begins]
    if not steady:
        return None
    lead = steady[0]
    from_frame = begins + chance.of(0, 60, -60, -960, -1_440, -1_441, -1_920, -2_400, -4_800, 1_200, 4_800)
    length = chance.of(24_000, 6_000, 19_200)
    reach = chance.of(12_000, 3_000, lead.start_frame - from_frame, 1_200)
    span = Span(from_frame, from_frame + length, True, True, ((from_frame, from_frame + length, WRITTEN),),
                from_frame - abs(reach), from_frame + 2 * length, before)  # fmt: skip
    return (
        onset(line, span, lead, lead.level_c100, floor_db10=chance.of(-700, -460, -431, -430)),
        vowel(line, lead.start_frame),
        vowel(line, chance.of(0, writer.at, begins)),
    )


def a_tail(chance: Chance) -> object:
    """A room that answers, and what may sound in it."""
    writer = Writer(first=chance.of(0, 60))
    writer.write(chance.of(40, 60), WRITTEN, -200)
    fall = chance.of(50, 60, 61, 100, 300)
    writer.write(chance.of(12, 40, 80), WRITTEN, -200 - chance.of(0, 40), to=-200 - fall - chance.of(0, 20))
    writer.write(chance.of(0, 4, 16, 17), WRITTEN, -200 - fall + chance.of(0, 19, 20, 21, 40))
    due = chance.of(7_200, 4_800, 4_860, 0, -20_000, writer.at + 30_000)
    return dies_away(
        writer.line, due, chance.of(writer.at, writer.at - 1_920, due + 1_440, due + 1_441, due + 3_360, due + 9_600)
    )


def a_hum(chance: Chance) -> object:
    """A machine's tone with somebody singing over it, or without."""
    writer = Writer()
    lead = chance.of(0, 49, 50, 100, 100)
    tone, level = 430_000, chance.of(-520, -400, -399, -401, -350)
    wide, uneven = chance.of(0, 300, 301, 1_500, 1_501), chance.of(0, 10, 11, 30, 31)
    on = chance.of(100, 90, 80, 79, 97, 96)

    def hum(count: int) -> None:
        for k in range(count):
            if k * 37 % 100 < on:  # exactly so many of a hundred
                writer.write(
                    1, tone + (wide if k % 2 else -wide) * chance.of(0, 1, 1), level + chance.of(0, 0, uneven, -uneven)
                )
            else:
                writer.silence(1)

    hum(lead)
    for _ in range(chance.whole(1, 3)):
        if chance.happens(60):
            writer.write(chance.of(20, 50, 100), WRITTEN, level + chance.of(149, 150, 151, 60))
        hum(chance.of(0, 20, 100, 200))
    if not len(writer.line):
        return None
    music, asked = chance.of(lead * HOP + 2_400, lead * HOP + 2_401, lead * HOP, 20_000), chance.of(2, 3, 8)
    return without_hum(writer.line, music_from_frame=music, asked_pitches=asked).voiced


def a_faint_sound(chance: Chance) -> object:
    """Loud and soft frames, some exactly 24 dB under the middle."""
    writer = Writer()
    for _ in range(chance.whole(0, 4)):
        writer.write(
            chance.whole(1, 9), WRITTEN, chance.of(-200, -200, -300, -439, -440, -441), voiced=not chance.happens(20)
        )
    changed = without_faint(writer.line)
    return changed.voiced, changed.window(120, 480), len(changed), changed.hop_frames


def a_time(chance: Chance) -> object:
    """Milliseconds as frames, and the mean hop of frames that are not quite even."""
    writer = Writer(chance.of(119, 120, 241))
    for _ in range(chance.of(0, 1, 2, 3, 4, 999, 1_000, 1_001, 1_003)):
        writer.silence(1)
        writer.at += chance.of(0, 0, 1)
    return writer.line.hop_frames, ms_to_frames(chance.whole(0, 999))


NETS = (
    Net("segments", ("phonation", "pitchline"), some_segments, 500),
    Net("listening", ("listening", "span", "pitchline", "figure", "onset"), a_listening, 700),
    Net("slides", ("listening", "span"), a_slide_into_a_note, 300),
    Net("onsets", ("onset", "consonant", "span"), an_onset, 2_500),
    Net("tails", ("tail",), a_tail, 700),
    Net("hums", ("hum",), a_hum, 500),
    Net("faint", ("faint", "pitchline"), a_faint_sound, 200),
    Net("times", ("pitchline", "phonation"), a_time, 100),
)
