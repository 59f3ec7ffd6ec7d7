"""One sung line judged at its end: every note listened to once, octave and offset settled for the whole take, then all is read."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from audio.heard import Gap
from trainer.judge.beats import part_sign
from trainer.judge.clash import Clash, clashes
from trainer.judge.company import (
    DOUBTFUL,
    HARDLY_MURKY,
    MAYBE_OURS,
    NOT_SUNG,
    Murk,
    holds_the_line,
    only_our_voices,
    surely_a_singer,
    taken_away,
    unsure_where_ours,
    without_leaks,
)
from trainer.judge.ear import Ear, Known, never_murky, nothing_taken_off
from trainer.judge.faint import without_faint
from trainer.judge.hum import without_hum
from trainer.judge.listening import Listening
from trainer.judge.octave import steady_shift
from trainer.judge.phonation import Segment, ms_to_frames, segments
from trainer.judge.pitchline import PitchLine
from trainer.judge.pull import Suspect, matches, pulled_to
from trainer.judge.reading import RIGHT_C100, Reading
from trainer.judge.rests import extra_notes
from trainer.judge.span import OCTAVE, Span
from trainer.judge.spans import Spans
from trainer.judge.trend import Trend, trend
from trainer.judge.words import Words
from trainer.practice.plan import LinePlan, Plan, Target
from trainer.practice.signs import Sign, ranked
from trainer.practice.take import BeatVerdict, ClashVerdict, ExtraNote, NoteVerdict
from trainer.practice.timemap import TimeMap

DOUBTED = NOT_SUNG | MAYBE_OURS
PITCH_SIGNS = frozenset({Sign.SILENT, Sign.UNSURE, Sign.PULLED, Sign.OFF, Sign.OCTAVE, Sign.SHARP, Sign.FLAT})


class SungLine:
    """Everything that one line's sound says of its targets.

    Parameters
    ----------
    plan, line : Plan, LinePlan
    time : TimeMap
    pitch_line : PitchLine
    gaps : list of Gap
        Lost sound.
    unheard : tuple of Gap
        What lies before and after the recording.
    """

    def __init__(
        self,
        plan: Plan,
        line: LinePlan,
        time: TimeMap,
        pitch_line: PitchLine,
        gaps: list[Gap],
        unheard: tuple[Gap, ...],
    ) -> None:
        self._plan, self._line, self._settings = plan, line, plan.settings
        self._spans = Spans(plan, line, time)
        self._notes = [t for t in line.targets if t.pitch is not None]
        if self._notes:
            first_frame = self._spans.bounds(self._notes[0])[0]
            pitch_line = without_hum(
                without_faint(pitch_line),
                music_from_frame=first_frame,
                asked_pitches=len({t.pitch for t in self._notes}),
            )
        ends = (pitch_line.centres[0], pitch_line.centres[-1] + 1) if len(pitch_line) else (0, 0)
        steady = segments(pitch_line, *ends)
        if not self._settings.alone:
            others = [k for k in range(len(plan.score.lines)) if k != line.line_index]
            played = [note for k in others for note in self._spans.all_notes(k)]
            kept = without_leaks(pitch_line, steady, played, self._spans.all_notes(line.line_index))
            pitch_line, steady = pitch_line.with_voiced(_voiced_in(pitch_line, kept)), kept
        self._pitch_line, self._murk = pitch_line, Murk(pitch_line)
        self._ear = Ear(plan, line, self._spans, pitch_line, steady, gaps, unheard)
        self._heard = {t.index: self._ear.listen(self._spans.whole(t)) for t in self._notes}
        deviations = {k: _deviation(h) for k, h in self._heard.items() if h.body}
        self.shift = 0 if self._settings.octave == "strict" else steady_shift(deviations.values())
        self.trend = self._trend(deviations)
        self.only_ours = False
        self._known = self._learn()
        self._words = Words(plan, self.shift)

    def _trend(self, deviations: dict[int, int]) -> Trend | None:
        """Offset and drift of the right notes; sung alone, of all notes, since there is nothing else to be right by."""
        points = []
        for target in self._notes:
            if target.index not in deviations:
                continue
            deviation = deviations[target.index] - self.shift * OCTAVE
            if self._settings.octave == "free":
                deviation -= (deviation + OCTAVE // 2) // OCTAVE * OCTAVE
            if self._settings.alone or abs(deviation) <= RIGHT_C100:
                points.append((sum(self._spans.bounds(target)) // 2, deviation))
        return trend(points)

    def _learn(self) -> Known:
        """Read every note, find the pulls, and doubt what may be our own sound."""
        taken_off = self.trend.at if self._settings.alone and self.trend is not None else nothing_taken_off
        known = Known(self.shift, taken_off)
        whole = {t.index: self._spans.whole(t) for t in self._notes}
        readings = {t.index: self._ear.read(whole[t.index], self._heard[t.index], t, known) for t in self._notes}
        suspects = {
            t.index: self._ear.suspect(t, readings[t.index], self._heard[t.index], whole[t.index], known)
            for t in self._notes
        }
        murk: Callable[[int, int], int] = never_murky
        murky = 0
        if self._notes and self._plan.beside_loudspeaker:
            murk, murky = self._company(list(readings.values()), list(suspects.values()))
        if self.only_ours:
            readings = {k: Reading(frozenset({Sign.UNSURE}), why=r.why) for k, r in readings.items()}
            suspects = dict.fromkeys(suspects)
        else:
            mended = unsure_where_ours((readings[k], suspects[k]) for k in readings)
            for k, doubted in zip(readings, mended, strict=True):
                if murky >= DOUBTFUL or murk(whole[k].from_frame, whole[k].to_frame) >= DOUBTFUL:
                    readings[k] = doubted
            suspects = {k: s if Sign.UNSURE not in readings[k].signs else None for k, s in suspects.items()}
        pulls = dict(zip(whole, pulled_to([suspects[k] for k in whole]), strict=True))
        self._suspects = suspects
        return Known(self.shift, taken_off, pulls, readings, self._heard, murk, murky >= DOUBTFUL)

    def _company(
        self, readings: list[Reading], suspects: list[Suspect | None]
    ) -> tuple[Callable[[int, int], int], int]:
        """How murky any stretch is, and the whole take; settles whether only our own voices were heard."""
        around = self._spans.bounds(self._notes[0])[0], self._spans.bounds(self._notes[-1])[1]
        murky = self._murk.permille(*around)
        anything = any(not reading.signs & NOT_SUNG for reading in readings)
        left_over = anything and taken_away(self._pitch_line, *around) and not holds_the_line(readings, suspects)
        self.only_ours = left_over or only_our_voices(readings, suspects, murky)
        if not surely_a_singer(readings, suspects, murky):
            return self._murk.permille, murky
        over_noise = self._murk.over_noise(*around)
        if over_noise >= HARDLY_MURKY:
            return self._murk.over_noise, over_noise
        right = [s for r, s in zip(readings, suspects, strict=True) if s is not None and not r.signs & DOUBTED]
        return self._murk.beside([(s.from_frame, s.to_frame) for s in right]), over_noise

    def notes(self) -> tuple[NoteVerdict, ...]:
        """A verdict a note, and one for every rest that was surely sung in."""
        verdicts = []
        for target in self._line.targets:
            if target.pitch is None:
                rest = None if self.only_ours else self._ear.rest(target, self.shift)
                if rest is not None:
                    sung = self._words.name(rest.level_c100)
                    verdicts.append(self._words.sung_rest(target, rest.start_frame, rest.end_frame, sung))
                continue
            suspect = self._suspects[target.index]
            also = tuple(n.voice for n in matches(suspect)) if suspect is not None else ()
            reading, pulled = self._known.readings[target.index], self._known.pulls[target.index]
            heard, bounds = self._heard[target.index], self._spans.bounds(target)
            verdicts.append(self._words.note(target, reading, heard, pulled, also, bounds=bounds))
        return tuple(verdicts)

    def beats(self) -> tuple[BeatVerdict, ...]:
        """A verdict a beat, each from the sound inside it.

        Where only our own voices were heard no beat is sure; where no note was sung, no beat of it was.
        """
        verdicts = tuple(self._ear.beat(at, length, self._words, self._known) for at, length in self._plan.bars.beats())
        if self.only_ours:
            return tuple(map(_doubted, verdicts))
        if all(reading.signs & NOT_SUNG for reading in self._known.readings.values()):
            return tuple(v if v.sign in (Sign.REST, Sign.SILENT) else _doubted(v) for v in verdicts)
        return verdicts

    def clash_verdicts(self) -> tuple[ClashVerdict, ...]:
        """Every clash as three events."""
        found = clashes(self._plan.score, self._plan.bars, self._line.line_index, self._line.targets)
        return tuple(self._clash(clash) for clash in found)

    def _clash(self, clash: Clash) -> ClashVerdict:
        target, resolution = self._line.targets[clash.target], self._line.targets[clash.resolution]
        place = self._plan.bars.place(clash.at_quarters)
        if self.only_ours:
            doubt = Sign.UNSURE
            return ClashVerdict(place.bar, place.beat, place.printed_bar, clash.figure, doubt, doubt, doubt)
        prepared = self._part(target, target.onset_quarters, clash.at_quarters)
        held = self._part(target, clash.at_quarters, target.end_quarters)
        span = self._spans.span(target, clash.at_quarters, target.end_quarters)
        if held not in (Sign.SHARP, Sign.FLAT, Sign.OCTAVE) and self._left(target, span):
            held = Sign.LEFT_EARLY
        pulled = {Sign.PULLED} if self._known.pulls[resolution.index] else set()
        signs = (self._known.readings[resolution.index].signs | pulled) & PITCH_SIGNS
        return ClashVerdict(place.bar, place.beat, place.printed_bar, clash.figure, prepared, held, ranked(signs)[0])

    def _left(self, target: Target, span: Span) -> bool:
        """Whether the tied note's own pitch sounded into the clash and stopped well before its end, not for a breath."""
        whole = self._heard[target.index]
        if not whole.body or Sign.OFF in self._known.readings[target.index].signs:
            return False
        allowed = max(span.length_frames // 5, ms_to_frames(150))
        ended = whole.body[-1].end_frame + self._ear.ahead_frames(target, whole, self._known)
        return span.from_frame - allowed <= ended < span.to_frame - allowed and not _comes_back(whole)

    def _part(self, target: Target, from_quarters: Fraction, to_quarters: Fraction) -> Sign:
        """The sign of a clash's preparation or of its holding."""
        reading, pulled = self._ear.part(target, from_quarters, to_quarters, self._known)
        return part_sign(reading, pulled)

    def extra(self) -> tuple[ExtraNote, ...]:
        """Notes that nothing asked for."""
        if not self._notes or self.only_ours:
            return ()
        taken = [s for heard in self._heard.values() for s in heard.body]
        taken += [r for t in self._line.targets if t.pitch is None and (r := self._ear.rest(t, self.shift)) is not None]
        taken_ids = {id(segment) for segment in taken}
        around = (self._spans.bounds(self._notes[0])[0], self._spans.bounds(self._notes[-1])[1])
        asked = [(self._spans.bounds(t), self._own_pitches(t)) for t in self._notes]
        found = extra_notes([s for s in self._ear.steady if id(s) not in taken_ids], around, asked)
        return tuple(self._words.extra(s) for s in found)

    def _own_pitches(self, target: Target) -> tuple[int, ...]:
        around = (*self._spans.own_around(target), target.steps[0].pitch_c100)
        return tuple(pitch + self.shift * OCTAVE for pitch in around)


def _doubted(verdict: BeatVerdict) -> BeatVerdict:
    """Nothing claimed of this beat; a rest stays one."""
    sign = Sign.REST if verdict.expected is None else Sign.UNSURE
    return BeatVerdict(verdict.bar, verdict.beat, verdict.printed_bar, sign, None, verdict.expected)


def _voiced_in(line: PitchLine, kept: list[Segment]) -> list[bool]:
    """The line's voiced frames that lie in one of the kept segments."""
    inside = {k for segment in kept for k in range(segment.first, segment.end)}
    return [voiced and k in inside for k, voiced in enumerate(line.voiced)]


def _comes_back(heard: Listening) -> bool:
    """Whether the body ends in a gap after which the same breath's sound goes on: a breath, not a leaving."""
    return (
        bool(heard.body)
        and heard.body[-1].before_gap
        and any(
            from_frame == heard.body[-1].end_frame and to_frame - from_frame < ms_to_frames(600)
            for from_frame, to_frame in heard.silences
        )
    )


def _deviation(heard: Listening) -> int:
    return heard.figure.deviation_c100 if heard.figure is not None else heard.pitch_c100
