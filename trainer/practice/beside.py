"""What was around the singer in one take: which voices sounded, how much of the own line, what was shown. Kept with the take."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.practice.settings import Settings


@dataclass(frozen=True, slots=True)
class Beside:
    """The company of one take.

    Parameters
    ----------
    sounding : tuple of int or None
        Lines that sounded, the singer's own left out; None where nobody knows, as for most recordings.
    guide : str
        How much of the own line sounded: "full", "entries" or "off".
    drone : str
        "on" where a drone sounded, else "off".
    shown : str
        What was shown of the verdicts: "beats" as they ended, "end" after the take, "none" only when asked.
    silent_bars : (int, int) or None
        First and last bar in which every voice dropped out.
    rehearsal, desk : str
        Whose turn of a section's rehearsal it was; "" for a singer's own take, which alone counts for that singer.
    """

    sounding: tuple[int, ...] | None = None
    guide: str = "off"
    drone: str = "off"
    shown: str = "beats"
    silent_bars: tuple[int, int] | None = None
    rehearsal: str = ""
    desk: str = ""


UNKNOWN = Beside()


def in_company(beside: Beside, settings: Settings, line_count: int, own: int) -> str:
    """In what company a line was sung: "alone", "some", "all", or "unknown" where a recording does not say."""
    if settings.alone:
        return "alone"
    if beside.sounding is None:
        return "unknown"
    others = set(beside.sounding) - {own}
    if not others:
        return "alone"
    return "all" if len(others) == line_count - 1 else "some"
