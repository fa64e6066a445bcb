"""Synthetic speech with phones exact to the sample."""

import numpy

from espeak import Espeak
from recording import ESPEAK, EXACT, SYNTHETIC, Recording
from texts import SPOKEN

# Before and after the speech.
QUIET_S = 0.25


def recordings(_packages):
    """Every voice with its text."""
    espeak = Espeak()
    for voice, text in SPOKEN:
        audio, labels = espeak.speak(voice, text)
        quiet = int(QUIET_S * espeak.sample_rate_hz)
        yield Recording(
            name=f"espeak-{voice}",
            source=f"espeak-ng {espeak.version}",
            licence="GPL-3+",
            language=voice[:2],
            origin=SYNTHETIC,
            precision=EXACT,
            notation=ESPEAK,
            sample_rate_hz=espeak.sample_rate_hz,
            audio=numpy.pad(audio, quiet),
            labels=[(start + quiet, end + quiet, symbol) for start, end, symbol in labels],
        )
