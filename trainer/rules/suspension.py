"""A note held into a dissonance: how it was prepared, what it is called, and how it is resolved.

Conventions: the held tone is one tone (ties merged); ``at`` is the accented moment at which another voice makes it dissonant. The
resolution is *due* on the second half of an even bar, on either later beat of a triple one, a quarter later where the dissonance
itself stands on the half bar. Ornaments between dissonance and resolution are those that Rockstro 1883 and Lehmann (Simple
Counterpoint in Forty Lessons, lesson IX) teach and Fux 1725 writes.
"""

from __future__ import annotations

from typing import NamedTuple

from trainer.rules.intervals import CONSONANT_ABOVE, CONSONANT_WITH_BASS, simple
from trainer.rules.texture import STRONG, Texture, Tone, joined

RESOLVED, ORNAMENTED, EARLY, LATE, RISES, BROKEN = "resolved", "ornamented", "early", "late", "rises", "broken"
ILL_ORNAMENTED = "ill ornamented"

# staff steps from the held note to each note between it and its resolution
ORNAMENTS = {
    (-1,): "resolution anticipated",
    (-1, -2): "turn below",
    (0,): "restruck",
    (1,): "upper neighbour",
    (-2,): "third below",
    (-4,): "fifth below",
}
LEAPT_TO = {(-2,), (-4,)}


class Suspension(NamedTuple):
    """One dissonant tie.

    ``against`` are the tones it is dissonant with at ``at``, ``bass`` the lowest sounding there. ``figure`` is such as 7-6 over the
    bass, or 2-3 when the bass itself is held. ``resolution`` is the tone a step below (above for a retardation), None when there is
    none; ``ornament`` names what stands between.
    """

    held: Tone
    at: int
    against: tuple[Tone, ...]
    bass: Tone
    figure: str
    outcome: str
    resolution: Tone | None
    ornament: str

    @property
    def in_bass(self) -> bool:
        """Whether the held tone is the lowest."""
        return self.held is self.bass

    def holds(self, at: int) -> bool:
        """Whether at tick *at* it still waits for its resolution."""
        return self.at <= at and (self.resolution is None or at < self.resolution.on) and at < self.held.end


def read_suspension(texture: Texture, held: Tone, at: int, against: tuple[Tone, ...], bass: Tone) -> Suspension:
    """What becomes of *held*, dissonant at *at* with *against* over *bass*."""
    outcome, resolution, ornament = _outcome(texture, held, at)
    return Suspension(held, at, against, bass, figure_of(held, against, bass, outcome), outcome, resolution, ornament)


def due(texture: Texture, at: int) -> tuple[int, ...]:
    """The ticks on which the resolution of a dissonance at *at* may fall."""
    bar = texture.bar_at(at)
    if texture.weight(at) != STRONG:
        return (at + bar.grid,)
    return (at + bar.grid, at + 2 * bar.grid) if bar.triple else (at + 2 * bar.grid,)


def _outcome(texture: Texture, held: Tone, at: int) -> tuple[str, Tone | None, str]:
    after = texture.after(held)
    if after is None or not joined(held, after):
        return BROKEN, None, ""
    moments, wanted = due(texture, at), held.dia - 1
    if after.dia == wanted and after.on in moments:
        return RESOLVED, after, ""
    for moment in moments:
        tone = texture.tone_at(held.voice, moment)
        if tone is not None and tone.dia == wanted and tone.on == moment:
            return _ornament(texture, held, moment, tone)
    if after.dia == wanted:
        return (LATE if after.on > moments[-1] else EARLY), after, ""
    if after.dia == held.dia + 1:
        return RISES, after, ""
    return BROKEN, None, ""


def _ornament(texture: Texture, held: Tone, moment: int, resolution: Tone) -> tuple[str, Tone, str]:
    between = [tone for tone in texture.lines[held.voice][held.place + 1 :] if tone.on < moment]
    shape = tuple(tone.dia - held.dia for tone in between)
    if shape not in ORNAMENTS or (shape in LEAPT_TO and not consonant(texture, between[0])):
        return ILL_ORNAMENTED, resolution, ""
    return ORNAMENTED, resolution, ORNAMENTS[shape]


def consonant(texture: Texture, tone: Tone) -> bool:
    """Whether the tone is consonant with all that sounds when it is struck."""
    found = texture.slice_at(tone.on)
    if found is None or found.bass is None:
        return True
    return all(
        simple(tone, other) in (CONSONANT_WITH_BASS if found.bass in (tone, other) else CONSONANT_ABOVE)
        for other in found.sounding
        if other is not tone
    )


def figure_of(held: Tone, against: tuple[Tone, ...], bass: Tone, outcome: str) -> str:
    """The figure of *held* against the notes it clashes with: 7-6 over the bass, 2-3 when it is the bass itself."""
    if held is bass:
        above = min(against, key=lambda tone: (tone.dia - held.dia) % 7)
        first = (above.dia - held.dia) % 7 + 1
        return f"{first}-{first - 1 if outcome == RISES else first + 1}"
    letters = held.dia - bass.dia
    first = letters % 7 + 1
    if first == 2 and letters >= 7:
        first = 9
    if first == 1:
        first = 8
    return f"{first}-{first + 1 if outcome == RISES else first - 1}"
