"""Synthetic speech with phones exact to the sample."""

from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import numpy

from espeak import Espeak
from recording import ESPEAK, EXACT, SYNTHETIC, Recording
from texts import SPOKEN

# Before and after the speech.
QUIET_S = 0.25


def recordings(_packages):
    """Every voice with its text. Each is spoken by a process of its own: what the synthesiser has said before sways by
    some samples what it says next."""
    fresh = {"max_tasks_per_child": 1, "mp_context": get_context("spawn")}
    with ProcessPoolExecutor(**fresh) as processes:
        yield from processes.map(spoken, *zip(*SPOKEN))


def spoken(voice, text):
    """One voice with its text."""
    espeak = Espeak()
    audio, labels = espeak.speak(voice, text)
    quiet = int(QUIET_S * espeak.sample_rate_hz)
    return Recording(
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
