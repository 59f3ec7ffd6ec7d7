"""What somebody asks to have composed, and what is wrong with asking for it."""

from __future__ import annotations

from dataclasses import dataclass

from audio.errors import HeldlineError
from trainer.rules.ruleset import SHIPPED, RuleSet, shipped
from trainer.score.model import VOICES_BY_PARTS, Score
from trainer.score.modes import MODE_FIFTHS
from trainer.score.pitch import Pitch

MODES = ("dorian", "phrygian", "lydian", "mixolydian", "aeolian", "ionian", "minor", "major")
SPECIES = ("1", "2", "3", "4", "5", "combined")
COMPASSES = {"soprano": ("C4", "G5"), "alto": ("G3", "C5"), "tenor": ("C3", "G4"), "bass": ("E2", "C4")}
"""A part-writing handout's table, as the rule ``range-voice`` has it."""

SHORTEST, LONGEST = 4, 40


class WishError(HeldlineError):
    """A wish that cannot be granted: which clashes with which, and the nearest that can."""


@dataclass(frozen=True, slots=True)
class Wish:
    """An exercise asked for.

    Parameters
    ----------
    parts : int
        2 to 4.
    species : str or tuple of str
        "1" to "5" for the moving voice, all others in whole notes; "combined" for one species to each voice; or a word for every
        voice, top first, one of them "cantus".
    cantus_voice, line_voice, sing_voice : str
        Voices by name: who has the cantus, who moves, who is to be sung (the moving voice when empty).
    mode, final : str
        A word of MODES; a letter with its sign, or empty for whichever suits the voices.
    rules : str or RuleSet
        A shipped set's name, or a set.
    seed : int
        The same seed gives the same music.
    sevenths : bool
        Chordal sevenths, in four parts, where the rules have them.
    compasses : tuple of (voice, lowest, highest)
        Pitch names, for voices that sing within other bounds than the usual.
    length : int
        Notes of a new cantus, 0 for any from 8 to 14.
    melody : str or tuple of str
        The cantus: a name of Fux's ("fux-d"), pitch names, or empty for a new one.
    title : str
    """

    parts: int = 4
    species: str | tuple[str, ...] = "1"
    cantus_voice: str = "bass"
    line_voice: str = "soprano"
    sing_voice: str = ""
    mode: str = "dorian"
    final: str = ""
    rules: str | RuleSet = "strict16"
    seed: int = 0
    sevenths: bool = False
    compasses: tuple[tuple[str, str, str], ...] = ()
    length: int = 0
    melody: str | tuple[str, ...] = ""
    title: str = ""

    @property
    def voices(self) -> tuple[str, ...]:
        """The voices' names, top first."""
        return VOICES_BY_PARTS[self.parts]

    @property
    def sung(self) -> str:
        """The voice to be sung."""
        return self.sing_voice or self.line_voice


@dataclass(frozen=True, slots=True)
class Composed:
    """An exercise: the score with its headers, its cantus' name ("our own" or Fux's), and the seed that made it."""

    score: Score
    cantus: str
    seed: int


def refuse_nonsense(wish: Wish) -> None:
    """Raises WishError for what no search could find."""
    if wish.parts not in VOICES_BY_PARTS:
        raise WishError(
            f"{wish.parts} parts cannot be composed", "--parts", "ask for 2, 3 or 4: the rules are written for those"
        )
    voices = ", ".join(wish.voices)
    for name, voice in (("--cantus", wish.cantus_voice), ("--line", wish.line_voice), ("--sing", wish.sung)):
        if voice not in wish.voices:
            raise WishError(f"{wish.parts} parts have no {voice}", name, f"their voices are {voices}")
    if wish.line_voice == wish.cantus_voice:
        raise WishError(
            f"the {wish.line_voice} cannot have both the cantus and the moving line",
            "--cantus, --line",
            f"give one of the two to another voice: {', '.join(v for v in wish.voices if v != wish.cantus_voice)}",
        )
    _refuse_species(wish)
    if wish.mode not in MODES:
        raise WishError(
            f"{wish.mode or 'nothing'} is not a mode that is composed in", "--mode", f"choose one of {', '.join(MODES)}"
        )
    if wish.final:
        _refuse_final(wish)
    if isinstance(wish.rules, str) and wish.rules not in SHIPPED:
        raise WishError(f"there is no rule set {wish.rules}", "--rules", f"choose one of {', '.join(SHIPPED)}")
    if wish.length and not SHORTEST <= wish.length <= LONGEST:
        raise WishError(
            f"a cantus of {wish.length} notes cannot be made",
            "--length",
            f"ask for {SHORTEST} to {LONGEST}; 8 to 14 are usual",
        )
    if wish.sevenths and wish.parts < 4:
        raise WishError(
            f"chordal sevenths clash with {wish.parts} parts",
            "--sevenths, --parts",
            "ask for 4 parts, which can hold a whole seventh chord",
        )
    rules = wish.rules if isinstance(wish.rules, RuleSet) else shipped(wish.rules)
    if wish.sevenths and rules.strictness("seventh-allowed", "", wish.parts) == "F":
        raise WishError(
            f"chordal sevenths clash with the rules of {rules.name}",
            "--sevenths, --rules",
            "ask for the rules tonal, which have them",
        )
    if wish.sevenths and ("4" in wish.species or wish.species == "combined"):
        raise WishError(
            "chordal sevenths clash with a voice tied over every bar line",
            "--sevenths, --species",
            "ask for species 1, 2, 3 or 5, where all four voices strike together",
        )
    _refuse_compasses(wish)


def _refuse_species(wish: Wish) -> None:
    if isinstance(wish.species, str):
        if wish.species not in SPECIES:
            raise WishError(f"{wish.species!r} is not a species", "--species", "ask for 1 to 5, or combined")
        if wish.species == "combined" and wish.parts < 3:
            raise WishError(
                "combined species clash with 2 parts",
                "--species, --parts",
                "ask for 3 or 4 parts: two voices beside the cantus",
            )
        return
    wrong = [word for word in wish.species if word not in (*SPECIES[:5], "cantus")]
    if wrong or len(wish.species) != wish.parts or wish.species.count("cantus") != 1:
        raise WishError(
            f"{' '.join(wish.species)} is not a species for each of {wish.parts} voices",
            "--species",
            "give a word a voice, top first: cantus once, else 1 to 5",
        )


def _refuse_final(wish: Wish) -> None:
    try:
        pitch = Pitch.parse(f"{wish.final}4")
    except ValueError as err:
        raise WishError(
            f"{wish.final!r} is not a final", "--final", "give a letter and its sign, as in D or Bb"
        ) from err
    from trainer.score.modes import signature_fifths

    fifths = signature_fifths(wish.final, wish.mode)
    if abs(fifths) > 6 or abs(pitch.alter) > 1:
        near = _near_final(pitch, wish.mode)
        raise WishError(
            f"{wish.mode} on {wish.final} needs {abs(fifths)} {'sharps' if fifths > 0 else 'flats'}",
            "--final, --mode",
            f"{near} sounds the same and has fewer",
        )


def _near_final(pitch: Pitch, mode: str) -> str:
    from trainer.score.pitch import STEPS

    names = [f"{step}{sign}" for step in STEPS for sign in ("", "b", "#")]
    same = [name for name in names if Pitch.parse(f"{name}4").midi % 12 == pitch.midi % 12]
    return min(same, key=lambda name: (abs(_fifths(name, mode)), name))


def _fifths(final: str, mode: str) -> int:
    from trainer.score.pitch import line_of_fifths

    return line_of_fifths(Pitch.parse(f"{final}4")) + MODE_FIFTHS[mode]


def _refuse_compasses(wish: Wish) -> None:
    for voice, low, high in wish.compasses:
        if voice not in wish.voices:
            raise WishError(
                f"{wish.parts} parts have no {voice}", "--compass", f"their voices are {', '.join(wish.voices)}"
            )
        try:
            bottom, top = Pitch.parse(low).midi, Pitch.parse(high).midi
        except ValueError as err:
            raise WishError(
                f"{low} to {high} is not a compass", "--compass", "give two pitches, as in  tenor=C3..G4"
            ) from err
        if top - bottom < 7:
            raise WishError(
                f"the {voice} cannot move between {low} and {high}",
                "--compass",
                "a line needs a sixth at least, an octave to be free",
            )


def compass(wish: Wish, voice: str) -> tuple[int, int]:
    """Lowest and highest MIDI number of a voice."""
    low, high = next(((low, high) for name, low, high in wish.compasses if name == voice), COMPASSES[voice])
    return Pitch.parse(low).midi, Pitch.parse(high).midi
