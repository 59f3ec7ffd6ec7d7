"""Standard MIDI Files of kind 0 and 1: one voice a track, or a channel where a track holds several.

Reading: notes are spelled by the signature in force and set on a grid, and a remark tells the largest shift; keys of channel 10
(drums in General MIDI) are left out with a remark; a first meter that lasts one bar and is shorter than the second is a pickup,
which is how notation programs write one. Left out: velocity, pedals, pitch bend.

Writing: kind 1, 480 ticks a quarter (another number only where a tuplet needs it), a first track with title, tempo, meter and
signature, then a track a voice. Breath marks and facts have no place in the format.

Source: Standard MIDI Files 1.0 (MIDI Manufacturers Association, RP-001).
"""

from __future__ import annotations

from trainer.formats import FORMATS, Format
from trainer.formats._midi_read import read
from trainer.formats._midi_write import write
from trainer.formats._smf import looks_like_midi

__all__ = ["read", "write"]

FORMATS.add("midi", Format("Standard MIDI File", (".mid", ".midi", ".smf"), looks_like_midi, read, write), __name__)
