"""From a reading's integers to the whole numbers and names of a verdict."""

from __future__ import annotations

from audio.units import RATE_HZ, frames_to_ms, frames_to_seconds, whole_cents
from trainer.judge.listening import Listening
from trainer.judge.naming import Naming
from trainer.judge.phonation import Segment
from trainer.judge.reading import Reading
from trainer.judge.span import OCTAVE
from trainer.practice.plan import Plan, Target
from trainer.practice.signs import Sign, ranked
from trainer.practice.take import ExtraNote, NoteVerdict, Vibrato

SURE_C100 = 5_000


class Words:
    """Verdicts in a plan's own names.

    Parameters
    ----------
    plan : Plan
    shift : int
        Octaves in which the whole take is sung.
    """

    def __init__(self, plan: Plan, shift: int) -> None:
        self._naming = Naming(plan.score, plan.settings.a4_offset_c100)
        self._shift = shift

    def cents(self, reading: Reading) -> int | None:
        """Whole cents of a reading, None where there is no figure."""
        return None if reading.cents_c100 is None else whole_cents(reading.cents_c100)

    def sung(self, reading: Reading, target: Target) -> str | None:
        """Name of the note heard; None when nothing was, or when it lies 50 to 70 cents from what is asked."""
        if reading.pitch_c100 is None:
            return None
        if reading.deviation_c100 is not None and target.steps and Sign.OFF not in reading.signs:
            if Sign.OCTAVE not in reading.signs and abs(reading.deviation_c100) > SURE_C100:
                return None
            if Sign.OCTAVE not in reading.signs:
                # right: the written name, in the octave in which the take is sung, however far a common offset has carried it
                octaves = (
                    reading.pitch_c100 - reading.deviation_c100 - target.steps[0].pitch_c100 + OCTAVE // 2
                ) // OCTAVE
                return self._naming.name(target.steps[0].pitch_c100 + octaves * OCTAVE)
        return self._naming.name(reading.pitch_c100)

    def note(
        self,
        target: Target,
        reading: Reading,
        heard: Listening,
        pulled: str | None,
        also: tuple[str, ...],
        *,
        bounds: tuple[int, int],
    ) -> NoteVerdict:
        """The verdict of one note; *bounds* are the frames at which it is due to begin and end."""
        signs = set(reading.signs)
        if pulled is not None:
            signs = (signs - {Sign.OFF}) | {Sign.PULLED}
        sang = reading.pitch_c100 is not None
        return NoteVerdict(
            target.place.bar,
            target.place.beat,
            target.place.printed_bar,
            target.length_beats,
            str(target.pitch),
            ranked(signs),
            start_s=frames_to_seconds(_start(heard, bounds)) if sang else None,
            end_s=frames_to_seconds(_end(heard, bounds)) if sang else None,
            sung=self.sung(reading, target),
            cents=self.cents(reading),
            uncertainty_cents=None if reading.uncertainty_c100 is None else -(-reading.uncertainty_c100 // 100),
            onset_error_ms=None if reading.onset_error is None else frames_to_ms(reading.onset_error),
            release_error_ms=None if reading.release_error is None else frames_to_ms(reading.release_error),
            pulled_to=pulled,
            also_note_of=tuple(voice for voice in also if voice != pulled),
            restruck=heard.restruck and sang,
            scoop_cents=None if reading.scoop_c100 is None else whole_cents(reading.scoop_c100),
            vibrato=_vibrato(heard) if sang else None,
            why=reading.why,
        )

    def sung_rest(self, target: Target, from_frame: int, to_frame: int, sung: str) -> NoteVerdict:
        """The verdict of a rest in which *sung* was heard."""
        return NoteVerdict(
            target.place.bar,
            target.place.beat,
            target.place.printed_bar,
            target.length_beats,
            None,
            (Sign.OFF,),
            start_s=frames_to_seconds(from_frame),
            end_s=frames_to_seconds(to_frame),
            sung=sung,
        )

    def extra(self, segment: Segment) -> ExtraNote:
        """A note that nothing asked for."""
        return ExtraNote(
            frames_to_seconds(segment.start_frame),
            frames_to_seconds(segment.end_frame),
            self._naming.name(segment.level_c100),
        )

    def name(self, pitch_c100: int) -> str:
        """Scientific name of the nearest semitone."""
        return self._naming.name(pitch_c100)


def _start(heard: Listening, bounds: tuple[int, int]) -> int:
    """Where the note was begun; where it is due when the sound of the note before simply goes on."""
    return heard.onset_frame if heard.onset_frame is not None else max(heard.body[0].start_frame, bounds[0])


def _end(heard: Listening, bounds: tuple[int, int]) -> int:
    last = heard.body[-1].end_frame
    return last if heard.release_frame is not None else min(last, bounds[1])


def _vibrato(heard: Listening) -> Vibrato | None:
    if heard.figure is None or not heard.figure.vibrato_period_frames:
        return None
    rate_tenths = (20 * RATE_HZ // heard.figure.vibrato_period_frames + 1) // 2
    return Vibrato(rate_tenths / 10, whole_cents(heard.figure.vibrato_extent_c100))
