"""A score and a chosen voice become targets: what is expected where, and who else sounds.

Nothing here knows frames; the time map joins a plan to a take.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.practice.reference import References, Step
from trainer.practice.settings import Settings
from trainer.practice.sinking import references_under
from trainer.score.model import Score
from trainer.score.pitch import Pitch
from trainer.score.time import Bars, Place, TempoMap


@dataclass(frozen=True, slots=True)
class Company:
    """A stretch of another voice that sounds with a target: which line, its name, its pitch, and the pitch sounded."""

    line_index: int
    voice: str
    pitch: Pitch
    steps: tuple[Step, ...]
    onset_quarters: Fraction
    end_quarters: Fraction


@dataclass(frozen=True, slots=True)
class Target:
    """One note, or one rest, that the singer's line asks for.

    Parameters
    ----------
    index : int
        Place in the line, notes and rests together.
    place : Place
        Bar and beat of its onset.
    onset_quarters, end_quarters : Fraction
    length_beats : Fraction
        In the meter's lower figure.
    pitch : Pitch or None
        None in a rest.
    steps : tuple of Step
        The reference along the note; empty in a rest.
    company : tuple of Company
        Every note of another voice that sounds at some time within it, top voice first.
    breath_after : bool
    """

    index: int
    place: Place
    onset_quarters: Fraction
    end_quarters: Fraction
    length_beats: Fraction
    pitch: Pitch | None
    steps: tuple[Step, ...]
    company: tuple[Company, ...]
    breath_after: bool = False

    @property
    def length_quarters(self) -> Fraction:
        """How long it lasts."""
        return self.end_quarters - self.onset_quarters


@dataclass(frozen=True, slots=True)
class LinePlan:
    """All that one singer, or player at the keys, is expected to do; ``source`` is "sung" or "keyed"."""

    line_index: int
    voice: str
    targets: tuple[Target, ...]
    source: str = "sung"


@dataclass(frozen=True, slots=True)
class Plan:
    """One take's plan: one to eight lines of one score, judged side by side.

    ``lines[k]`` is the plan of what arrives as ``Heard.line == k``.
    """

    score: Score
    settings: Settings
    tempo: TempoMap
    bars: Bars
    references: References
    lines: tuple[LinePlan, ...]

    @property
    def beside_loudspeaker(self) -> bool:
        """Whether our own voices may be in what is heard: not in a take said to be alone, nor where several sing every voice."""
        sung = {line.line_index for line in self.lines}
        missing = any(k not in sung and line.notes for k, line in enumerate(self.score.lines))
        return not self.settings.alone and (missing or len(sung) == 1)


def make_plan(
    score: Score, line_indexes: tuple[int, ...], settings: Settings, *, sources: tuple[str, ...] = ()
) -> Plan:
    """Targets of the chosen lines, top to bottom as given.

    Parameters
    ----------
    score : Score
    line_indexes : tuple of int
        Which lines are sung; ``Heard.line`` counts in this order.
    settings : Settings
    sources : tuple of str
        "sung" or "keyed" for each line; all sung where not said.
    """
    tempo = score.tempo if settings.tempo_qpm is None else score.tempo.scaled_to(settings.tempo_qpm)
    refs = references_under(score, settings)
    bars = score.bars()
    return Plan(
        score,
        settings,
        tempo,
        bars,
        refs,
        tuple(
            LinePlan(index, score.voice_names()[index], _targets(score, index, refs, bars), source)
            for index, source in zip(line_indexes, sources or ("sung",) * len(line_indexes), strict=True)
        ),
    )


def _targets(score: Score, line_index: int, refs: References, bars: Bars) -> tuple[Target, ...]:
    line = score.lines[line_index]
    spans: list[tuple[Fraction, Fraction, int | None]] = [
        (n.onset_quarters, n.end_quarters, k) for k, n in enumerate(line.notes)
    ]
    spans += [(at, at + length, None) for at, length in line.rests(bars.end_quarters)]
    names = score.voice_names()
    # one sweeping start an other line, so that a long score is not searched again for every note
    starts = [0] * len(score.lines)
    targets = []
    for index, (onset, end, note_index) in enumerate(sorted(spans, key=lambda span: span[0])):
        place = bars.place(onset)
        company = []
        for other, other_line in enumerate(score.lines):
            if other == line_index:
                continue
            while starts[other] < len(other_line.notes) and other_line.notes[starts[other]].end_quarters <= onset:
                starts[other] += 1
            k = starts[other]
            while k < len(other_line.notes) and other_line.notes[k].onset_quarters < end:
                note = other_line.notes[k]
                company.append(
                    Company(other, names[other], note.pitch, refs[other][k], note.onset_quarters, note.end_quarters)
                )
                k += 1
        note_or_none = None if note_index is None else line.notes[note_index]
        targets.append(
            Target(
                index,
                place,
                onset,
                end,
                (end - onset) / bars.at(onset).meter.beat_quarters,
                None if note_or_none is None else note_or_none.pitch,
                () if note_index is None else refs[line_index][note_index],
                tuple(company),
                note_or_none is not None and note_or_none.breath_after,
            )
        )
    return tuple(targets)
