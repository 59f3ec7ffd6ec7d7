"""The music of a take as parts: each voice, the own line as a guide, its entries alone, the clicks; chord and first note before them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction

from audio.curve import PitchStep
from audio.render import Rendering, Tone, voice_gain_db
from audio.units import SEMITONE_C100, c100_to_hz
from trainer.live.mixing import Channel
from trainer.practice.reference import References
from trainer.practice.settings import Settings
from trainer.practice.sinking import references_under
from trainer.score.model import Score
from trainer.score.time import TempoMap
from trainer.voices.drone import drone_tones
from trainer.voices.lead_in import chord_tones, click_tones, counted_beats, first_note_tones
from trainer.voices.tones import FrameAt, tones

KEY_SWING_DB = 12.0
LONGEST_KEY_SECONDS = 60


@dataclass(frozen=True, slots=True)
class Stems:
    """Makes renderings of one score for one singer; every rendering's frame 0 is wherever *at* says.

    Parameters
    ----------
    score : Score
    line_index : int
        The singer's own line.
    settings : Settings
        A4 and the reference: the voices sound what the singer is judged by.
    octaves : int
        The singer's own octave against what is written: where the first note and the guide are given.
    rate_hz : int
    silent_bars : (int, int) or None
        Bars in which all voices but the own one fall silent.
    """

    score: Score
    line_index: int
    settings: Settings
    octaves: int
    rate_hz: int
    silent_bars: tuple[int, int] | None = None

    @property
    def sounded(self) -> References:
        """What each note sounds."""
        return references_under(self.score, self.settings)

    def channels(self) -> tuple[Channel, ...]:
        """Every channel there is."""
        return (*range(len(self.score.lines)), "entries", "click", "count", "pitch", "keys", "drone")

    def music(self, at: FrameAt) -> dict[Channel, Rendering]:
        """Every voice and the clicks of the music itself."""
        found: dict[Channel, Rendering] = {}
        sounded = self.sounded
        for index in range(len(self.score.lines)):
            voice = tones(self.score, sounded, at, which=(index,))
            if index == self.line_index:
                voice = self._in_own_octave(voice)
                found["entries"] = self._rendering(self._entries(voice, at), seed=index)
            else:
                voice = self._fallen_silent(voice, at)
            found[index] = self._rendering(voice, seed=index)
        found["drone"] = self._rendering(
            drone_tones(self.score, self.line_index, at, a4_offset_c100=self.settings.a4_offset_c100)
        )
        found["click"] = self._clicks(at, self.score.bars().beats())
        return found

    def count(self, at: FrameAt, bars: int) -> Rendering:
        """Clicks of the bars counted before the music."""
        return self._clicks(at, counted_beats(self.score, bars))

    def count_to(self, at: FrameAt, quarters: Fraction) -> Rendering:
        """One bar of clicks up to *quarters*, for going on after a pause."""
        meter = self.score.bars().at(quarters).meter
        beat = meter.beat_quarters
        return self._clicks(at, [(quarters - k * beat, beat) for k in range(meter.beats, 0, -1)])

    def chord(self) -> Rendering:
        """The key chord, from frame 0."""
        offset = self.settings.a4_offset_c100
        return self._rendering(
            chord_tones(self.score, self.sounded, a4_offset_c100=offset, rate_hz=self.rate_hz, channel=0)
        )

    def first_note(self) -> Rendering:
        """The own first note, from frame 0."""
        return self._rendering(
            first_note_tones(
                self.sounded,
                self.line_index,
                octaves=self.octaves,
                start_frame=0,
                rate_hz=self.rate_hz,
                channel=0,
            )
        )

    def key_tone(self, midi: int, velocity: int) -> Rendering:
        """One key's tone from frame 0, longer than anybody holds one."""
        # softer than the voices: a hand that plays along must not cover what it listens to
        gain_db = voice_gain_db(len(self.score.lines)) + (velocity - 96) / 127 * KEY_SWING_DB
        tone = Tone(
            0,
            self.rate_hz * LONGEST_KEY_SECONDS,
            (PitchStep(0, c100_to_hz(midi * SEMITONE_C100 + self.settings.a4_offset_c100)),),
            "keys",
            gain_db=gain_db,
        )
        return self._rendering([tone])

    def tempo(self, qpm: Fraction | None) -> TempoMap:
        """The score's tempo, its first mark at *qpm*."""
        return self.score.tempo if qpm is None else self.score.tempo.scaled_to(qpm)

    def _clicks(self, at: FrameAt, beats: list[tuple[Fraction, Fraction]]) -> Rendering:
        return self._rendering(click_tones(self.score, at, beats, rate_hz=self.rate_hz, channel=0))

    def _fallen_silent(self, voice: list[Tone], at: FrameAt) -> list[Tone]:
        """The tones without what lies in the silent bars; a note held over their edge is cut there."""
        if self.silent_bars is None:
            return voice
        bars = [bar for bar in self.score.bars().bars if self.silent_bars[0] <= bar.number <= self.silent_bars[1]]
        if not bars:
            return voice
        low, high = at(bars[0].onset_quarters), at(bars[-1].onset_quarters + bars[-1].length_quarters)
        return [
            part
            for tone in voice
            for part in (_part(tone, 0, low), _part(tone, high, tone.end_frame))
            if part is not None
        ]

    def _in_own_octave(self, voice: list[Tone]) -> list[Tone]:
        factor = 2.0**self.octaves
        return [
            replace(tone, steps=tuple(replace(step, f0_hz=step.f0_hz * factor) for step in tone.steps))
            for tone in voice
        ]

    def _entries(self, voice: list[Tone], at: FrameAt) -> list[Tone]:
        """The first beat of each note that follows a rest, a written breath or nothing."""
        starts: dict[int, int] = {}
        bars, end, breathed = self.score.bars(), Fraction(-1), False
        for note in self.score.lines[self.line_index].notes:
            if note.onset_quarters != end or breathed:
                beat = bars.at(note.onset_quarters).meter.beat_quarters
                starts[at(note.onset_quarters)] = at(min(note.onset_quarters + beat, note.end_quarters))
            end, breathed = note.end_quarters, note.breath_after
        found = []
        for tone in voice:
            if tone.start_frame in starts:
                length = starts[tone.start_frame] - tone.start_frame
                steps = tuple(step for step in tone.steps if step.at_frame < length)
                found.append(replace(tone, length_frames=length, steps=steps))
        return found

    def _rendering(self, found: Iterable[Tone], *, seed: int = 0) -> Rendering:
        return Rendering((replace(tone, channel=0) for tone in found), rate_hz=self.rate_hz, seed=seed)


def _part(tone: Tone, from_frame: int, to_frame: int) -> Tone | None:
    """What of a tone lies in [from, to), None where nothing does."""
    begin, end = max(tone.start_frame, from_frame), min(tone.end_frame, to_frame)
    if begin >= end:
        return None
    cut = begin - tone.start_frame
    first = [step for step in tone.steps if step.at_frame <= cut][-1]
    later = tuple(
        PitchStep(step.at_frame - cut, step.f0_hz)
        for step in tone.steps
        if cut < step.at_frame < end - tone.start_frame
    )
    return replace(tone, start_frame=begin, length_frames=end - begin, steps=(PitchStep(0, first.f0_hz), *later))
