"""Notes shared with another voice, voices crossed, voices a second away, and long notes beside moving ones."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.grading.declare import Crux, CruxKind
from trainer.grading.words import bar, bars, count, listed
from trainer.rules.piece import CANTUS
from trainer.rules.texture import Slice
from trainer.singable.part import Part


def _inside(part: Part) -> Iterator[tuple[Slice, Slice]]:
    """Every slice with the one before it, but for the first and the last bar, where voices meet by right."""
    texture = part.texture
    first, last = texture.bars[0].end, texture.bars[-1].on
    for before, here in zip(texture.slices, texture.slices[1:], strict=False):
        if first <= here.on < last and here.tones[part.voice] is not None:
            yield before, here


def _met(part: Part, here: Slice, before: Slice, voice: int) -> bool:
    """Whether the two voices have one note here, and had not a moment ago."""
    own, other = here.tones[part.voice], here.tones[voice]
    if own is None or other is None or own.midi != other.midi:
        return False
    return (own, other) != (before.tones[part.voice], before.tones[voice])


def _shared(part: Part) -> Iterator[Crux]:
    met: dict[int, list[int]] = {}
    for before, here in _inside(part):
        for voice in part.others:
            if _met(part, here, before, voice):
                met.setdefault(voice, []).append(bar(part.texture, here.on))
    if not met:
        return
    total = sum(len(where) for where in met.values())
    voice = max(met, key=lambda one: (len(met[one]), -one))
    several = len(met[voice]) > 1
    says = f"shares {'notes' if several else 'a note'} with the {part.name(voice)} in {bars(met[voice])}"
    also = [f"the {part.name(other)} in {bars(met[other])}" for other in sorted(met) if other != voice]
    yield Crux("shared-note", says + (f", with {listed(also)}" if also else ""), min(33 + 3 * total, 48), total)


def _crossing(part: Part) -> Iterator[Crux]:
    for voice in part.neighbours:
        where = []
        for before, here in _inside(part):
            if _crossed(part, here, voice) and not _crossed(part, before, voice):
                where.append(bar(part.texture, here.on))
        if where:
            way = "under" if voice > part.voice else "over"
            yield Crux(
                "crossing", f"goes {way} the {part.name(voice)} in {bars(where)}", 52 + 2 * len(where), len(where)
            )
            return


def _crossed(part: Part, here: Slice, voice: int) -> bool:
    own, other = here.tones[part.voice], here.tones[voice]
    return own is not None and other is not None and (other.midi - own.midi) * (part.voice - voice) < 0


def _near(part: Part) -> Iterator[Crux]:
    """Seconds with a neighbour, suspensions left out: those are clashes."""
    tied = {one.at for one in part.piece.suspensions}
    found: dict[int, list[int]] = {}
    narrow = False
    for _, here in _inside(part):
        own = here.tones[part.voice]
        for voice in part.neighbours:
            other = here.tones[voice]
            if own is None or other is None or max(own.on, other.on) != here.on or here.on in tied:
                continue
            if abs(own.dia - other.dia) == 1 and abs(own.midi - other.midi) in (1, 2):
                found.setdefault(voice, []).append(bar(part.texture, here.on))
                narrow = narrow or abs(own.midi - other.midi) == 1
    if found:
        voice = max(found, key=lambda one: (len(found[one]), -one))
        total = sum(len(where) for where in found.values())
        says = f"a second from the {part.name(voice)} in {bars(found[voice])}"
        yield Crux("near-neighbour", says, 30 + 2 * total + 6 * narrow, total)


def _long(part: Part) -> Iterator[Crux]:
    movers = [voice for voice in part.others if part.piece.is_moving(voice)]
    if movers and part.piece.species[part.voice] in (CANTUS, "1"):
        who = f"the {part.name(movers[0])} moves" if len(movers) == 1 else f"{count(len(movers))} voices move"
        yield Crux("long-notes", f"long notes while {who}", 24 + 4 * len(movers), len(movers))


def _cantus(part: Part) -> Iterator[Crux]:
    if part.piece.cantus == part.voice:
        yield Crux("cantus", "the cantus is yours", 26)


KINDS = (
    CruxKind("shared-note", ("shared note", "shared notes", "shares a note", "unison"), _shared),
    CruxKind("crossing", ("crossing", "crossed voices"), _crossing),
    CruxKind("near-neighbour", ("a second away", "near neighbour", "seconds between voices"), _near),
    CruxKind("long-notes", ("long notes",), _long),
    CruxKind("cantus", ("cantus", "the cantus is yours"), _cantus),
)
