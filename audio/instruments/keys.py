"""What a mute keyboard sounds: a plain soft tone that begins at once, so that the hand feels answered."""

from __future__ import annotations

from audio.instruments import INSTRUMENTS
from audio.instruments._sustained import Sustained
from audio.instruments.tuning import spectrum
from audio.phrase import Breath

ATTACK_SECONDS = 0.012
"""Longer and the answer feels late, shorter and it clicks (tests/contracts/test_instruments.py listens for that)."""

INSTRUMENTS.add("keys", Sustained(spectrum, breath=Breath(ATTACK_SECONDS, 0.15)), __name__)
