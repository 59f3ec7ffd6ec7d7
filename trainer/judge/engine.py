"""Collects what is heard, tells of beats as they end, and judges the whole at the end."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from audio.heard import OPEN_KEY, UNTIMED, Anchor, Gap, Heard, KeyNote, PitchFrame
from audio.units import frames_to_seconds, whole_cents
from trainer.judge.keyline import KeyLine
from trainer.judge.pitchline import PitchLine
from trainer.judge.remarks import ONLY_OURS, Advice, remarks
from trainer.judge.running import RunningLine
from trainer.judge.runningkeys import RunningKeys, closed, with_key
from trainer.judge.sung import SungLine
from trainer.judge.trend import Trend
from trainer.practice.event import BeatOver
from trainer.practice.plan import LinePlan, Plan
from trainer.practice.settings import ON_TIME_MS
from trainer.practice.signs import Sign
from trainer.practice.take import BeatVerdict, ClashVerdict, ExtraNote, Health, NoteVerdict, Performance, Take
from trainer.practice.timemap import TimeMap

FAR = 1 << 60
EDGE_FRAMES = 1_200  # 50 ms: the first and last estimates stand half a window inside the sound
CUT_SHORT_FRAMES = 6_000  # a quarter of a second
LISTEN_ON_FRAMES = 240_000  # ten seconds: an hour-long recording of a minute's piece is not heard to its end
NOT_HEARD = frozenset({Sign.SILENT, Sign.UNSURE})
CUT_SHORT = "The sound ends before the line does: what is missing was not judged."
NOT_BEGUN = "The sound ends before the line begins: none of it could be judged."


class Engine:
    """Judges every line of one plan.

    Parameters
    ----------
    plan : Plan
    time : TimeMap
        Copied; anchors that are heard are added to the copy.
    advice : Advice
    """

    def __init__(self, plan: Plan, time: TimeMap, advice: Advice) -> None:
        self._plan, self._advice = plan, advice
        self._time = TimeMap(time.anchors)
        self._pitch_lines = [PitchLine() for _ in plan.lines]
        self._keys: list[list[KeyNote]] = [[] for _ in plan.lines]
        self._gaps: list[Gap] = []
        self._until: int | None = None
        self._running = [
            RunningKeys(plan, line, self._time, keys, self._gaps)
            if line.source == "keyed"
            else RunningLine(plan, line, self._time, pitch_line, self._gaps)
            for line, pitch_line, keys in zip(plan.lines, self._pitch_lines, self._keys, strict=True)
        ]

    def hear(self, record: Heard) -> None:
        """Take one record. Raises IndexError for a line that the plan does not have."""
        match record:
            case PitchFrame():
                self._pitch_lines[record.line].append(record)
            case KeyNote():
                with_key(self._keys[record.line], record)
            case Anchor():
                self._time.add(record)
                self._until = None
            case Gap():
                self._gaps.append(record)

    def finished(self, record: Heard) -> bool:
        """Whether *record* lies so far after the last note that nothing more belongs to this attempt."""
        if isinstance(record, Anchor | Gap):
            return False
        if self._until is None:
            self._until = self._last_frame() + LISTEN_ON_FRAMES
        return (record.centre_frame if isinstance(record, PitchFrame) else record.on_frame) > self._until

    def _last_frame(self) -> int:
        try:
            return max(self._end_frame(line) for line in self._plan.lines)
        except ValueError:  # music time stands still: somebody is being waited for
            return FAR

    def beats_over(self) -> list[BeatOver]:
        """Beats that have ended since this was last asked."""
        return [
            BeatOver(line, verdict, running.now_frame)
            for line, running in enumerate(self._running)
            for verdict in running.due()
        ]

    def last_beats(self) -> list[BeatOver]:
        """The beats still open when no more is heard."""
        told = []
        for line, running in enumerate(self._running):
            if len(self._pitch_lines[line]) or self._keys[line]:
                told += [BeatOver(line, verdict, running.now_frame) for verdict in running.rest()]
        return told

    def close(self) -> Performance:
        """Every line's take."""
        return Performance(tuple(self._take(k, line) for k, line in enumerate(self._plan.lines)))

    def _take(self, k: int, line: LinePlan) -> Take:
        if line.source == "keyed":
            return self._keyed_take(line, self._keys[k])
        return self._sung_take(line, self._pitch_lines[k])

    def _sung_take(self, line: LinePlan, pitch_line: PitchLine) -> Take:
        judged = SungLine(self._plan, line, self._time, pitch_line, self._gaps, _unheard(pitch_line))
        notes = judged.notes()
        heard = any(n.sign not in NOT_HEARD and n.expected is not None for n in notes)
        cut_short = heard and pitch_line.centres[-1] < self._end_frame(line) - CUT_SHORT_FRAMES
        trend = judged.trend if heard else None
        said: tuple[str, ...] = (f"{ONLY_OURS} {self._advice.only_ours}",) if judged.only_ours else ()
        if heard:
            said = self._remarks(line, notes, judged.shift, trend)
            said += (CUT_SHORT,) if cut_short else ()
        elif len(pitch_line) and pitch_line.centres[-1] < self._begin_frame(line):
            said += (NOT_BEGUN,)
        take = self._made(line, notes, judged.beats(), judged.clash_verdicts(), judged.extra())
        return replace(
            take,
            drift_cents=None if trend is None or trend.drift_c100 is None else whole_cents(trend.drift_c100),
            octave_shift=judged.shift if heard else 0,
            whole_take_cents=None if trend is None else whole_cents(trend.offset_c100),
            status="incomplete" if cut_short else take.status,
            remarks=said,
        )

    def _keyed_take(self, line: LinePlan, keys: list[KeyNote]) -> Take:
        judged = KeyLine(self._plan, line, self._time, closed(keys, self._last_known(keys)), self._gaps)
        notes = judged.notes()
        take = self._made(line, notes, judged.beats(), judged.clash_verdicts(), judged.extra())
        if take.status != "heard":
            return take
        return replace(take, octave_shift=judged.shift, remarks=self._remarks(line, notes, judged.shift, None))

    def _remarks(
        self, line: LinePlan, notes: tuple[NoteVerdict, ...], shift: int, trend: Trend | None
    ) -> tuple[str, ...]:
        return remarks(
            self._plan, notes, shift=shift, trend=trend, time=self._time, voice=line.voice, advice=self._advice
        )

    def _made(
        self,
        line: LinePlan,
        notes: tuple[NoteVerdict, ...],
        beats: tuple[BeatVerdict, ...],
        clashes: tuple[ClashVerdict, ...],
        extra: tuple[ExtraNote, ...],
    ) -> Take:
        """A take without what only sung lines have."""
        plan = self._plan
        heard = any(n.sign not in NOT_HEARD and n.expected is not None for n in notes)
        return Take(
            plan.score.title,
            len(plan.score.lines),
            plan.score.digest(),
            line.voice,
            line.line_index + 1,
            line.source,
            plan.settings,
            plan.tempo.points[0][1],
            ON_TIME_MS[line.source],
            notes,
            beats,
            clashes,
            extra,
            status="heard" if heard else "nothing heard",
            health=Health(self._told_gaps()),
        )

    def _last_known(self, keys: list[KeyNote]) -> int:
        """The last frame of which a keyed take knows anything: where a key that was never let go is held to."""
        ends = [key.on_frame for key in keys] + [key.off_frame for key in keys if key.off_frame < OPEN_KEY]
        return max([self._time.anchors[-1].frame, *ends])

    def _told_gaps(self) -> tuple[tuple[float, float, str], ...]:
        """Gaps in seconds; where only the timing is in doubt, no further than anything was heard."""
        last = max((line.centres[-1] for line in self._pitch_lines if len(line)), default=0)
        last = max([last, *(key.on_frame for keys in self._keys for key in keys)])
        told = []
        for gap in self._gaps:
            to_frame = max(gap.from_frame, min(gap.to_frame, last)) if gap.why == UNTIMED else gap.to_frame
            told.append((frames_to_seconds(gap.from_frame), frames_to_seconds(to_frame), gap.why))
        return tuple(told)

    def _begin_frame(self, line: LinePlan) -> int:
        return min((self._time.frame(t.onset_quarters) for t in line.targets if t.pitch is not None), default=0)

    def _end_frame(self, line: LinePlan) -> int:
        """Where the line's last note ends."""
        last = max((t.end_quarters for t in line.targets if t.pitch is not None), default=Fraction(0))
        return self._time.frame(last)


def _unheard(pitch_line: PitchLine) -> tuple[Gap, ...]:
    """What lies before the first and after the last frame: nobody may call it silent."""
    if not len(pitch_line):
        return ()
    return (
        Gap(-FAR, pitch_line.centres[0] - EDGE_FRAMES, "before the recording"),
        Gap(pitch_line.centres[-1] + EDGE_FRAMES, FAR, "after the recording"),
    )
