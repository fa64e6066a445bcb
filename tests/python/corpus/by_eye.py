"""Recordings without labels whose spectrogram is plain enough to label them by eye, on a grid of 10 ms."""

import gzip
import io

from recording import BY_EYE, GRID_10_MS, REAL, Recording, read_mono, to_samples

# Six syllables of a fricative and a vowel: the level above 3.5 kHz tells where each begins, the level below 1 kHz where
# the vowel does. Only s and sh are certain by their spectra; the other four are no sibilants, whatever they are.
SYLLABLES_S = [
    (0.17, 0.38, "fricative"),
    (0.39, 0.84, "vowel"),
    (1.11, 1.28, "fricative"),
    (1.29, 1.72, "vowel"),
    (2.01, 2.23, "s"),
    (2.24, 2.68, "vowel"),
    (3.07, 3.30, "sh"),
    (3.32, 3.72, "vowel"),
    (4.07, 4.28, "fricative"),
    (4.29, 4.66, "vowel"),
    (4.97, 5.11, "fricative"),
    (5.12, 5.46, "vowel"),
]
# Three bursts of s in a sung line; what else is sung there is not labelled.
SUNG_LINE_S = [(0.60, 0.72, "s"), (2.98, 3.15, "s"), (5.60, 5.82, "s")]


def recordings(packages):
    """All of them."""
    folder, source = packages.pypi("phonlab", "0.0.70")
    sound = folder / "phonlab/data/example_audio/fricatives.wav"
    yield seen("phonlab-fricatives", source, "BSD-3-Clause", sound, SYLLABLES_S)

    folder, source = packages.debian("csoundqt-examples")
    sound = folder / "usr/share/csoundqt/Examples/SourceMaterials/AndItsAll.wav"
    yield seen("csoundqt-AndItsAll", source, "LGPL-2.1+", sound, SUNG_LINE_S)

    # Singing in which no sibilant shows anywhere: one label from end to end, for all that must be left alone.
    folder, source = packages.debian("csound-doc")
    sound = folder / "usr/share/doc/csound-doc/html/examples/singFemale.aif.gz"
    with gzip.open(sound) as content:
        sound = io.BytesIO(content.read())
    yield seen("csound-singFemale", source, "GFDL-1.2+", sound, [(0.0, 4.0, "sung")])


def seen(name, source, licence, sound, labels_s):
    """A recording with labels from this file."""
    audio, sample_rate_hz = read_mono(sound)
    labels = to_samples(labels_s, sample_rate_hz, len(audio))
    kind = ("en", REAL, GRID_10_MS, BY_EYE)
    return Recording(name, source, licence, *kind, sample_rate_hz, audio, labels)
