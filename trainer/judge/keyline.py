"""One keyed line judged: keys matched to notes, then signs of note and time for notes, beats and clashes."""

from __future__ import annotations

from audio.heard import UNTIMED, Gap, KeyNote
from audio.units import SEMITONE_C100, frames_to_ms, frames_to_seconds
from trainer.judge.beats import Part, beat_parts, beat_verdict
from trainer.judge.clash import clashes
from trainer.judge.keyed import Wanted, key_signs, matched
from trainer.judge.naming import Naming
from trainer.judge.octave import FARTHEST
from trainer.judge.phonation import ms_to_frames
from trainer.judge.pull import Suspect, matches, pulled_to
from trainer.judge.reading import Reading
from trainer.judge.spans import Spans
from trainer.judge.words import Words
from trainer.practice.plan import LinePlan, Plan, Target
from trainer.practice.settings import ON_TIME_MS
from trainer.practice.signs import Sign, ranked
from trainer.practice.take import BeatVerdict, ClashVerdict, ExtraNote, NoteVerdict
from trainer.practice.timemap import TimeMap


class KeyLine:
    """Everything that one line's keys say of its targets.

    Parameters
    ----------
    plan, line : Plan, LinePlan
    time : TimeMap
    keys : list of KeyNote
        In any order; notes of one line may overlap.
    gaps : list of Gap
        Stretches in which nothing was recorded.
    """

    def __init__(self, plan: Plan, line: LinePlan, time: TimeMap, keys: list[KeyNote], gaps: list[Gap]) -> None:
        self._plan, self._line, self._gaps = plan, line, gaps
        self._spans = Spans(plan, line, time)
        self._keys = sorted(keys, key=lambda k: (k.on_frame, k.midi, k.off_frame))
        self._notes = [t for t in line.targets if t.pitch is not None]
        wanted = [self._wanted(t) for t in self._notes]
        self.shift = self._steady_shift(wanted)
        answer = matched(wanted, self._keys, self.shift)
        self._meant = {t.index: k for t, k in zip(self._notes, answer, strict=True) if k is not None}
        self.readings = {t.index: self._read(t, w) for t, w in zip(self._notes, wanted, strict=True)}
        self._suspects = [self._suspect(t) for t in line.targets]
        answers = iter(pulled_to([self._suspects[t.index] for t in self._notes]))
        self.pulls = [None if t.pitch is None else next(answers) for t in line.targets]
        self._words = Words(plan, self.shift)
        self._naming = Naming(plan.score, 0)

    def _wanted(self, target: Target) -> Wanted:
        from_frame, to_frame = self._spans.bounds(target)
        assert target.pitch is not None  # noqa: S101 - the list holds notes only
        return Wanted(
            from_frame,
            to_frame,
            target.pitch.midi,
            self._spans.beat_frames(target),
            self._spans.on_time_frames(target, ON_TIME_MS["keyed"]),
            self._spans.nothing_follows(target),
        )

    def _steady_shift(self, wanted: list[Wanted]) -> int:
        """The octave in which most keys are the right ones, the nearest to what is written among equals."""
        if self._plan.settings.octave == "strict":
            return 0

        def right(shift: int) -> int:
            answer = matched(wanted, self._keys, shift)
            return sum(
                1
                for w, k in zip(wanted, answer, strict=True)
                if k is not None and self._keys[k].midi == w.midi + 12 * shift
            )

        return min(range(-FARTHEST, FARTHEST + 1), key=lambda shift: (-right(shift), abs(shift), shift))

    def _read(self, target: Target, want: Wanted) -> Reading:
        if target.index not in self._meant:
            lost = any(
                g.why != UNTIMED and g.from_frame < want.to_frame and g.to_frame > want.from_frame for g in self._gaps
            )
            return Reading(frozenset({Sign.UNSURE if lost else Sign.SILENT}))
        key = self._keys[self._meant[target.index]]
        settings = self._plan.settings
        timed = settings.delay_known and not any(g.from_frame <= want.from_frame < g.to_frame for g in self._gaps)
        signs = key_signs(want, key, self.shift, free_octave=settings.octave == "free", timed=timed)
        return Reading(
            signs,
            key.midi * SEMITONE_C100,
            None,
            None,
            None,
            key.on_frame - want.from_frame if timed else None,
            key.off_frame - want.to_frame,
            why=(
                ("key", f"MIDI {key.midi}, velocity {key.velocity}"),
                ("down", f"{frames_to_ms(key.off_frame - key.on_frame)} ms"),
            ),
        )

    def _suspect(self, target: Target) -> Suspect | None:
        reading = self.readings.get(target.index)
        if reading is None or reading.pitch_c100 is None:
            return None
        offset = self._plan.settings.a4_offset_c100
        key = self._keys[self._meant[target.index]]
        from_frame, to_frame = self._spans.bounds(target)
        return Suspect(
            Sign.OFF in reading.signs,
            reading.pitch_c100 + offset - 12 * self.shift * SEMITONE_C100,
            key.on_frame,
            max(key.on_frame, from_frame),
            max(min(key.off_frame, to_frame), max(key.on_frame, from_frame) + 1),
            False,
            self._spans.own_around(target),
            self._spans.neighbours(target),
        )

    def notes(self) -> tuple[NoteVerdict, ...]:
        """A verdict a note, and one for every rest that was played in."""
        verdicts = []
        for target in self._line.targets:
            if target.pitch is not None:
                verdicts.append(self._note(target))
                continue
            key = self._played_in(target)
            if key is not None:
                sung = self._naming.name(key.midi * SEMITONE_C100)
                verdicts.append(self._words.sung_rest(target, key.on_frame, key.off_frame, sung))
        return tuple(verdicts)

    def _played_in(self, target: Target) -> KeyNote | None:
        """The first key in a rest that was meant for no note; none is asked for, or minded, after the last note."""
        if target.index == len(self._line.targets) - 1:
            return None
        from_frame, to_frame = self._spans.bounds(target)
        meant = set(self._meant.values())
        return next(
            (key for k, key in enumerate(self._keys) if k not in meant and from_frame <= key.on_frame < to_frame), None
        )

    def _note(self, target: Target) -> NoteVerdict:
        reading, pulled, suspect = self.readings[target.index], self.pulls[target.index], self._suspects[target.index]
        signs = set(reading.signs)
        if pulled is not None:
            signs = (signs - {Sign.OFF}) | {Sign.PULLED}
        key = self._keys[self._meant[target.index]] if target.index in self._meant else None
        also = tuple(n.voice for n in matches(suspect)) if suspect is not None else ()
        return NoteVerdict(
            target.place.bar,
            target.place.beat,
            target.place.printed_bar,
            target.length_beats,
            str(target.pitch),
            ranked(signs),
            start_s=None if key is None else frames_to_seconds(key.on_frame),
            end_s=None if key is None else frames_to_seconds(key.off_frame),
            sung=None if key is None else self._naming.name(key.midi * SEMITONE_C100),
            onset_error_ms=None if reading.onset_error is None else frames_to_ms(reading.onset_error),
            release_error_ms=None if reading.release_error is None else frames_to_ms(reading.release_error),
            pulled_to=pulled,
            also_note_of=tuple(voice for voice in also if voice != pulled),
            restruck=key is not None and self._same_key_before(target),
            why=reading.why,
        )

    def _same_key_before(self, target: Target) -> bool:
        here, before = self._meant.get(target.index), self._meant.get(target.index - 1)
        return here is not None and before is not None and self._keys[here].midi == self._keys[before].midi

    def beats(self) -> tuple[BeatVerdict, ...]:
        """A verdict a beat: the key that is down in it, and in the beat of its start the start as well."""
        verdicts = []
        for at, length in self._plan.bars.beats():
            parts: list[Part] = []
            for target, from_quarters, to_quarters in beat_parts(self._line.targets, at, at + length):
                if target.pitch is None:
                    key = self._played_in(target)
                    end = self._spans.frame(to_quarters)
                    here = key is not None and key.on_frame < end and key.off_frame > self._spans.frame(from_quarters)
                    parts.append((target, Reading(frozenset({Sign.OFF if here else Sign.REST})), None))
                    continue
                reading = self._in_beat(target, self._spans.frame(from_quarters), self._spans.frame(to_quarters))
                parts.append((target, reading, self.pulls[target.index] if Sign.OFF in reading.signs else None))
            verdicts.append(beat_verdict(self._plan, self._words, at, parts))
        return tuple(verdicts)

    def _in_beat(self, target: Target, from_frame: int, to_frame: int) -> Reading:
        reading = self.readings[target.index]
        if target.index not in self._meant:
            return reading
        key = self._keys[self._meant[target.index]]
        starts_here = from_frame <= max(key.on_frame, self._spans.bounds(target)[0]) < to_frame
        down = min(key.off_frame, to_frame) - max(key.on_frame, from_frame)
        kept = set(reading.signs & {Sign.OFF, Sign.OCTAVE})
        if starts_here:
            kept |= reading.signs & {Sign.LATE, Sign.EARLY}
        forgiven = max(self._spans.beat_frames(target) // 2, ms_to_frames(600))
        if down <= 0 and key.on_frame >= to_frame:
            return Reading(frozenset({Sign.SILENT}))
        if key.off_frame < to_frame and Sign.LEFT_EARLY in reading.signs:
            if key.off_frame < from_frame - forgiven or down <= 0:
                return Reading(frozenset({Sign.SILENT}))
            kept.add(Sign.LEFT_EARLY)
        return Reading(frozenset(kept), reading.pitch_c100)

    def clash_verdicts(self) -> tuple[ClashVerdict, ...]:
        """Every clash as three events."""
        verdicts = []
        for clash in clashes(self._plan.score, self._plan.bars, self._line.line_index, self._line.targets):
            target = self._line.targets[clash.target]
            at, end = self._spans.frame(clash.at_quarters), self._spans.bounds(target)[1]
            place = self._plan.bars.place(clash.at_quarters)
            prepared = self._in_beat(target, self._spans.bounds(target)[0], at)
            held = self._in_beat(target, at, end)
            held_sign = ranked(self._with_pull(held, target.index))[0]
            if held_sign is Sign.HELD and self._released_early(clash.target, at, end):
                held_sign = Sign.LEFT_EARLY
            resolved = self.readings[clash.resolution].signs - {Sign.LATE, Sign.EARLY, Sign.LEFT_EARLY}
            resolved_reading = Reading(frozenset(resolved))
            verdicts.append(
                ClashVerdict(
                    place.bar,
                    place.beat,
                    place.printed_bar,
                    clash.figure,
                    ranked(self._with_pull(prepared, target.index))[0],
                    held_sign,
                    ranked(self._with_pull(resolved_reading, clash.resolution))[0],
                )
            )
        return tuple(verdicts)

    def _with_pull(self, reading: Reading, index: int) -> frozenset[Sign]:
        if Sign.OFF in reading.signs and self.pulls[index] is not None:
            return reading.signs | {Sign.PULLED}
        return reading.signs

    def _released_early(self, index: int, from_frame: int, to_frame: int) -> bool:
        key = self._keys[self._meant[index]] if index in self._meant else None
        allowed = max((to_frame - from_frame) // 5, ms_to_frames(150))
        return key is not None and key.off_frame < to_frame - allowed

    def extra(self) -> tuple[ExtraNote, ...]:
        """Keys that nothing asked for."""
        meant = set(self._meant.values())
        in_rests = [self._played_in(t) for t in self._line.targets if t.pitch is None]
        return tuple(
            ExtraNote(
                frames_to_seconds(key.on_frame),
                frames_to_seconds(key.off_frame),
                self._naming.name(key.midi * SEMITONE_C100),
            )
            for k, key in enumerate(self._keys)
            if k not in meant and key not in in_rests
        )
