"""A take: everything that was made of one attempt at one line. Plain records; JSON is made elsewhere.

Signs of numbers: sharp and late are positive. Cents and milliseconds are whole numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.practice.settings import Settings
from trainer.practice.signs import Sign


@dataclass(frozen=True, slots=True)
class Vibrato:
    """Rate in hertz to a tenth and extent, half the swing, in cents."""

    rate_hz: float
    extent_cents: int


@dataclass(frozen=True, slots=True)
class NoteVerdict:
    """What was heard of one target.

    Parameters
    ----------
    bar, beat, printed_bar, length_beats
        Where it stands. ``beat`` counts the meter's lower figure from 1.
    expected : str or None
        Scientific name; None for a rest that was sung in.
    start_s, end_s : float or None
        When it was heard, seconds in the recording.
    signs : tuple of Sign
        Every sign that applies, the main one first.
    sung : str or None
        Name of the note heard; None when silent or between two notes.
    cents, uncertainty_cents : int or None
        Against the reference, after the take's octave shift; half-width of a 95 % interval.
    onset_error_ms, release_error_ms : int or None
    pulled_to : str or None
        Whose note it was, when pulled.
    also_note_of : tuple of str
        Voices that sound the note heard.
    restruck : bool
        The same pitch as before, heard begun anew.
    scoop_cents : int or None
        Where the note was entered, when it was slid into.
    vibrato : Vibrato or None
    why : tuple of (str, str)
        The numbers behind the sign, as name and value, for people.
    """

    bar: int
    beat: Fraction
    printed_bar: str
    length_beats: Fraction
    expected: str | None
    signs: tuple[Sign, ...]
    start_s: float | None = None
    end_s: float | None = None
    sung: str | None = None
    cents: int | None = None
    uncertainty_cents: int | None = None
    onset_error_ms: int | None = None
    release_error_ms: int | None = None
    pulled_to: str | None = None
    also_note_of: tuple[str, ...] = ()
    restruck: bool = False
    scoop_cents: int | None = None
    vibrato: Vibrato | None = None
    why: tuple[tuple[str, str], ...] = ()

    @property
    def sign(self) -> Sign:
        """The main sign."""
        return self.signs[0]


@dataclass(frozen=True, slots=True)
class BeatVerdict:
    """One beat, judged on the sound inside it; ``cents`` is None where there is no figure."""

    bar: int
    beat: Fraction
    printed_bar: str
    sign: Sign
    cents: int | None = None
    expected: str | None = None
    sung: str | None = None
    pulled_to: str | None = None


@dataclass(frozen=True, slots=True)
class ClashVerdict:
    """A tied note dissonant with the bass on a strong beat, as three events."""

    bar: int
    beat: Fraction
    printed_bar: str
    figure: str
    prepared: Sign
    held: Sign
    resolved: Sign


@dataclass(frozen=True, slots=True)
class ExtraNote:
    """A note that nothing asked for."""

    start_s: float
    end_s: float
    sung: str


@dataclass(frozen=True, slots=True)
class Health:
    """What was lost on the way: stretches of sound in seconds, with the reason."""

    gaps: tuple[tuple[float, float, str], ...] = ()


@dataclass(frozen=True, slots=True)
class TempoPoint:
    """Where a bar was begun in the singer's own time, and quarters a minute from there to the next point."""

    bar: int
    beat: Fraction
    time_s: float
    quarters_per_minute: float


@dataclass(frozen=True, slots=True)
class Take:
    """One line of one performance, judged.

    Parameters
    ----------
    title, parts, score_digest
        Which music.
    voice, voice_number
        Name and number from the top.
    source : str
        "sung" or "keyed".
    settings : Settings
    tempo_qpm : Fraction
        The tempo in force at the start.
    on_time_ms : int
    status : str
        "heard", "nothing heard" or "incomplete".
    drift_cents, whole_take_cents : int or None
        From the first to the last note; the middle of all right notes.
    octave_shift : int
        Octaves by which the whole take lies above (or, negative, below) what is written.
    remarks : tuple of str
        Whole sentences for people: what the report says once.
    tempo_line : tuple of TempoPoint
        The singer's own tempo, in free time only.
    """

    title: str
    parts: int
    score_digest: str
    voice: str
    voice_number: int
    source: str
    settings: Settings
    tempo_qpm: Fraction
    on_time_ms: int
    notes: tuple[NoteVerdict, ...]
    beats: tuple[BeatVerdict, ...]
    clashes: tuple[ClashVerdict, ...] = ()
    extra: tuple[ExtraNote, ...] = ()
    drift_cents: int | None = None
    octave_shift: int = 0
    whole_take_cents: int | None = None
    status: str = "heard"
    remarks: tuple[str, ...] = ()
    health: Health = Health()
    tempo_line: tuple[TempoPoint, ...] = ()

    def result(self) -> dict[str, int]:
        """Counts: notes, judged, held, then every main sign that occurs. Sung-in rests are not among the notes."""
        notes = [note for note in self.notes if note.expected is not None]
        counts = {"notes": len(notes), "judged": 0, "held": 0}
        for note in notes:
            if note.sign is not Sign.UNSURE:
                counts["judged"] += 1
            if note.sign in (Sign.HELD, Sign.BREATH):
                counts["held"] += 1
            if note.sign is not Sign.HELD:
                counts[note.sign.value] = counts.get(note.sign.value, 0) + 1
        return counts


@dataclass(frozen=True, slots=True)
class Performance:
    """Every line of one attempt, in the plan's order."""

    takes: tuple[Take, ...]

    @property
    def nobody_heard(self) -> bool:
        """Whether nothing was heard of any line."""
        return all(take.status == "nothing heard" for take in self.takes)

    def remarking(self, sentences: Sequence[str]) -> Performance:
        """The same with a sentence more in each take's remarks, "" for none."""
        pairs = zip(self.takes, sentences, strict=True)
        return Performance(
            tuple(replace(take, remarks=(*take.remarks, said)) if said else take for take, said in pairs)
        )

    def saying(self, sentences: Sequence[str]) -> Performance:
        """The same, but of a line that nobody was heard in nothing is said."""
        pairs = zip(self.takes, sentences, strict=True)
        return self.remarking(["" if take.status == "nothing heard" else said for take, said in pairs])
