"""One labelled recording: what every source hands over, how it is kept, and whether its labels fit its sound.

NAME.wav is mono, 32-bit float, at the rate of the source; NAME.tsv holds a label a line: start and end in samples and
the symbol as the source writes it, separated by tabs, in order and without overlap.
"""

from dataclasses import dataclass

import numpy
import soundfile
from scipy.signal import butter, sosfiltfilt

REAL = "real"
SYNTHETIC = "synthetic"

EXACT = "exact"
GRID_10_MS = "grid_10_ms"

# How symbols are written.
ARPABET = "arpabet"
BY_EYE = "by_eye"
ESPEAK = "espeak"
JAPANESE = "japanese"

# Where sibilants carry their power and vowels little.
BRIGHT_BAND_HZ = (3500.0, 12000.0)


@dataclass
class Recording:
    """A mono sound (full scale 1) and its labels: (start_sample, end_sample, symbol)."""

    name: str
    source: str
    licence: str
    language: str
    origin: str
    precision: str
    notation: str
    sample_rate_hz: int
    audio: numpy.ndarray
    labels: list

    def described(self):
        """The entry of the manifest."""
        keys = ("name", "source", "licence", "language", "origin", "precision", "notation")
        return {key: getattr(self, key) for key in keys}

    def write(self, folder):
        """Writes NAME.wav and NAME.tsv."""
        audio = self.audio.astype(numpy.float32)
        soundfile.write(folder / f"{self.name}.wav", audio, self.sample_rate_hz, subtype="FLOAT")
        lines = (f"{start}\t{end}\t{symbol}\n" for start, end, symbol in self.labels)
        (folder / f"{self.name}.tsv").write_text("".join(lines), encoding="utf-8")


def read_mono(path):
    """The sound of a file, its channels averaged, and the sample rate in Hz."""
    audio, sample_rate_hz = soundfile.read(path, always_2d=True)
    return audio.mean(axis=1), sample_rate_hz


def to_samples(labels_s, sample_rate_hz, length):
    """Labels in seconds as labels in samples within the sound; what is empty there is left out."""
    limited = (
        (max(0, round(start * sample_rate_hz)), min(length, round(end * sample_rate_hz)), symbol)
        for start, end, symbol in labels_s
    )
    return [label for label in limited if label[0] < label[1]]


def contrast_db(recordings, is_sibilant, is_vowel):
    """How much more power per sample the bright band holds on labelled sibilants than on labelled vowels, dB."""
    powers = {True: [], False: []}
    for recording in recordings:
        bright = bright_power(recording)
        for start, end, symbol in recording.labels:
            if is_sibilant(symbol) or is_vowel(symbol):
                powers[is_sibilant(symbol)].append(bright[start:end])
    sibilants, vowels = (numpy.concatenate(powers[kind]).mean() for kind in (True, False))
    return 10.0 * numpy.log10(sibilants / vowels)


def bright_power(recording):
    """The squared sound of the bright band, as far as the sample rate reaches."""
    low_hz, high_hz = BRIGHT_BAND_HZ
    high_hz = min(high_hz, 0.49 * recording.sample_rate_hz)
    band = butter(4, (low_hz, high_hz), "bandpass", fs=recording.sample_rate_hz, output="sos")
    return sosfiltfilt(band, recording.audio) ** 2
