"""What helps a singer in: the chord of the key, her own first note, the bars counted before, the click.

All of it comes before quarter 0 or on the beats; nothing moves the music itself.
"""

from __future__ import annotations

from fractions import Fraction

from audio.curve import PitchStep
from audio.render import Tone, voice_gain_db
from audio.units import OCTAVE_C100, SEMITONE_C100, c100_to_hz
from trainer.practice.reference import References
from trainer.score.model import Score, sounding
from trainer.score.time import Bars
from trainer.voices.tones import FrameAt

FIRST_BEAT_HZ = 1_500.0
OTHER_BEAT_HZ = 1_000.0
"""Two clicks a fifth apart, both above any voice's written range, so that a tracker takes neither for a note."""

CLICK_BELOW_DB = -3.0
"""A click's burst is as loud as one steady voice at the same gain; it stays a little below, and beat 1 is higher, not louder."""

CHORD_SECONDS = Fraction(5, 2)
SPREAD_SECONDS = Fraction(1, 4)
FIRST_NOTE_SECONDS = Fraction(2)
PAUSE_SECONDS = Fraction(1, 2)


def click_tones(
    score: Score, at: FrameAt, beats: list[tuple[Fraction, Fraction]], *, rate_hz: int, channel: int
) -> list[Tone]:
    """A click on each of *beats*, higher on the first beat of a bar.

    Parameters
    ----------
    beats : list of (onset in quarters, length)
        From ``counted_beats`` or ``score.bars().beats()``; onsets before the score count bars back.
    """
    gain_db = voice_gain_db(len(score.lines)) + CLICK_BELOW_DB
    length = rate_hz // 16
    bars = score.bars()
    return [
        Tone(
            at(onset),
            length,
            (PitchStep(0, FIRST_BEAT_HZ if _begins_bar(bars, onset) else OTHER_BEAT_HZ),),
            "click",
            channel=channel,
            gain_db=gain_db,
        )
        for onset, _ in beats
    ]


def counted_beats(score: Score, count_in_bars: int) -> list[tuple[Fraction, Fraction]]:
    """Beats of the bars counted before the music, onsets below 0.

    With a pickup the counting fills up the pickup's own bar, as is common practice (no source): one bar of 4/4 before a pickup of
    one quarter is 1 2 3 4, 1 2 3.
    """
    if count_in_bars <= 0:
        return []
    meter = score.meters[0][1]
    beat = meter.beat_quarters
    missing = (meter.bar_quarters - score.pickup_quarters) if score.pickup_quarters else Fraction(0)
    start = -(count_in_bars * meter.bar_quarters + missing)
    count = -start // beat
    # a pickup that is no whole number of beats leaves a shorter last count, never a click inside the music
    return [(start + k * beat, beat) for k in range(int(count))]


def chord_tones(score: Score, references: References, *, a4_offset_c100: int, rate_hz: int, channel: int) -> list[Tone]:
    """The first chord at the very pitches that the voices will sound, entered from the lowest note up; starts at frame 0.

    Where fewer than two lines begin together, a triad on the lowest line's last note stands for it, its third as the lines have it.
    """
    pitches_c100 = _first_chord(score, references) or _closing_triad(score, a4_offset_c100)
    length = round(CHORD_SECONDS * rate_hz)
    gain_db = voice_gain_db(max(3, len(pitches_c100)))
    return [
        Tone(
            round(number * SPREAD_SECONDS * rate_hz),
            length - round(number * SPREAD_SECONDS * rate_hz),
            (PitchStep(0, c100_to_hz(pitch_c100)),),
            "tuning",
            channel=channel,
            gain_db=gain_db,
        )
        # eight notes entered a quarter of a second apart still leave the last one half a second
        for number, pitch_c100 in enumerate(sorted(set(pitches_c100))[:8])
    ]


def first_note_tones(
    references: References, line_index: int, *, octaves: int, start_frame: int, rate_hz: int, channel: int
) -> list[Tone]:
    """The singer's own first note, *octaves* above what is written; nothing for a line without notes."""
    if not references[line_index]:
        return []
    pitch_c100 = references[line_index][0][0].pitch_c100 + octaves * OCTAVE_C100
    return [
        Tone(
            start_frame,
            round(FIRST_NOTE_SECONDS * rate_hz),
            (PitchStep(0, c100_to_hz(pitch_c100)),),
            "tuning",
            channel=channel,
            gain_db=voice_gain_db(2),
        )
    ]


def _begins_bar(bars: Bars, onset: Fraction) -> bool:
    if onset >= 0:
        return bars.place(onset).beat == 1
    return (onset - bars.first_full_quarters) % bars.bars[0].meter.bar_quarters == 0


def _first_chord(score: Score, references: References) -> list[int]:
    onsets = [line.notes[0].onset_quarters for line in score.lines if line.notes]
    if not onsets:
        return []
    together = sounding(score, min(onsets))
    return [references[index][0][0].pitch_c100 for index, _ in together] if len(together) > 1 else []


def _closing_triad(score: Score, a4_offset_c100: int) -> list[int]:
    last = next((line.notes[-1].pitch.midi for line in reversed(score.lines) if line.notes), None)
    if last is None:
        return []
    used = {note.pitch.midi % 12 for line in score.lines for note in line.notes}
    third = 3 if (last + 3) % 12 in used and (last + 4) % 12 not in used else 4
    return [(last + step) * SEMITONE_C100 + a4_offset_c100 for step in (0, third, 7)]
