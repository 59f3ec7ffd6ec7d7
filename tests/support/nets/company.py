"""Is it the singer at all: sound of several tones at once, notes that a played voice has too, and what headphones let out."""

from __future__ import annotations

from nets import Chance, Net
from nets.lines import WRITTEN, Writer, a_melody
from nets.notes import segment
from trainer.judge.company import (
    Murk,
    holds_the_line,
    only_our_voices,
    surely_a_singer,
    taken_away,
    unsure_where_ours,
    without_leaks,
)
from trainer.judge.ear import levels_of
from trainer.judge.phonation import segments
from trainer.judge.pull import Neighbour, Suspect
from trainer.judge.reading import Reading
from trainer.practice.signs import Sign


def some_murk(chance: Chance) -> object:
    """Frames about every limit of clear, loud and over the noise; looked at while the line grows and at its end."""
    writer, told = Writer(), []
    line = writer.line
    murk = Murk(line)
    noise = chance.of(-600, -451, -300)
    for _ in range(chance.whole(1, 6)):
        clear = chance.of(119, 120, 30, 500, 699, 700, 799, 800, 950)
        level = chance.of(noise, noise + 9, -599, -600, -601, -300)
        writer.write(chance.of(5, 20, 39, 40, 41, 60), WRITTEN, level, voiced=not chance.happens(40), confidence=clear)
        count = chance.of(1, 10, 20)
        for k in range(max(0, len(line) - count), len(line)):
            line.residuals[k] = noise + chance.of(19, 20, 21, 49, 50, 59, 60, 61, 100) - noise % 10
            line.echoes[k] = chance.of(-1_200, -1_200, -1_199, -500)
        if chance.happens(50):
            told.append((murk.permille(0, writer.at), murk.over_noise(0, writer.at)))
    ends = (chance.of(0, 120, 1_000), chance.of(writer.at, 0, 600, writer.at - 60))
    told.append((murk.permille(*ends), murk.over_noise(*ends)))
    return told, taken_away(line, *ends), levels_of(line)


def a_room(chance: Chance) -> object:
    """How loud sound without a pitch must be to be anybody's: over the room, near the singer."""
    writer = Writer()
    for _ in range(chance.of(0, 1, 3)):
        writer.silence(chance.whole(1, 3), chance.of(-700, -451, -450, -449, -330))
    for _ in range(chance.of(0, 1, 60)):
        writer.write(1, WRITTEN, chance.of(-200, -300, -239), voiced=not chance.happens(20))
    return levels_of(writer.line)


def some_notes(chance: Chance) -> object:
    """The readings of a take, some of which played voices have too."""
    count = chance.of(0, 1, 3, 4, 5, 8, 10, 12)
    sung_right, theirs = chance.of(10, 40, 80), chance.of(10, 50)
    readings: list[Reading] = []
    suspects: list[Suspect | None] = []
    for k in range(count):
        sign = chance.of(Sign.HELD, Sign.FLAT, Sign.LATE) if chance.happens(sung_right) else chance.of(
            Sign.OFF, Sign.OCTAVE, Sign.SILENT, Sign.UNSURE, Sign.OFF
        )  # fmt: skip
        readings.append(Reading(frozenset({sign} - {Sign.HELD}), why=(("note", str(k)),)))
        alto = Neighbour(1, "alto", 0, 24_000, WRITTEN + (0 if chance.happens(theirs) else 30_000))
        heard = sign not in (Sign.SILENT, Sign.UNSURE)
        suspects.append(Suspect(sign is Sign.OFF, WRITTEN, 0, 0, 24_000, False, (), (alto,)) if heard else None)
    murky = chance.of(0, 249, 250, 251, 400, 500, 800, 1_000)
    return (
        only_our_voices(readings, suspects, murky),
        surely_a_singer(readings, suspects, murky),
        holds_the_line(readings, suspects),
        [(r.signs, r.why) for r in unsure_where_ours(zip(readings, suspects, strict=True))],
    )


def some_leaks(chance: Chance) -> object:
    """A melody in which soft stretches sound what others sing."""
    writer = a_melody(chance)
    steady = segments(writer.line, 0, writer.at)
    if chance.happens(50):
        for part in steady:
            for k in part.kept:
                writer.line.levels[k] = -250 - chance.of(0, 139, 140, 141) * (part.first % 2)
    notes = []
    for rank, voice in ((0, "soprano"), (2, "tenor")):
        for part in [*steady, segment(0, 24_000, WRITTEN)][:3]:
            half = part.length_frames // 2
            from_frame = part.start_frame + chance.of(0, half, half - 1, half + 1, -5_000)
            pitch = part.level_c100 + chance.of(0, 120_000, 30_000) + chance.of(0, 4_000, -4_000, 4_001, 3_999)
            notes.append(Neighbour(rank, voice, from_frame, part.end_frame + chance.of(0, 2_400, -half), pitch))
    played, own = [n for n in notes if n.rank == 0], [n for n in notes if n.rank == 2]
    return without_leaks(writer.line, steady, played, own if chance.happens(50) else [])


NETS = (
    Net("murk", ("company", "ear"), some_murk, 600),
    Net("rooms", ("ear",), a_room, 300),
    Net("whose notes", ("company",), some_notes, 1_500),
    Net("leaks", ("company",), some_leaks, 400),
)
