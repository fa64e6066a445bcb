"""Recordings whose words are known: their phones are found by forced alignment."""

from multiprocessing import Pool

import tux_paint
from aligner import align
from arpabet import is_sibilant, is_vowel
from clip import Clip
from recording import ARPABET, GRID_10_MS, REAL, Recording, contrast_db, read_mono, to_samples
from textgrid import read_tier

# Below this peak (full scale 1) a clip is empty.
SILENT = 1e-3
# Below this rate, Hz, hardly anything of a sibilant is left.
LEAST_RATE_HZ = 12000
# Where the labelled sibilants of a clip are no brighter than its vowels, the labels lie elsewhere, or the recording
# has lost its sibilants: either way it would mislead.
LEAST_CONTRAST_DB = 0.0
KIND = (REAL, GRID_10_MS, ARPABET)


def recordings(packages):
    """All clips, in their order, aligned or left out; several at a time."""
    with Pool() as pool:
        yield from pool.imap(aligned, clips(packages))


def aligned(clip):
    """The recording of a clip, or why there is none."""
    audio, sample_rate_hz = read_mono(clip.sound)
    if abs(audio).max() < SILENT:
        return clip.left_out("it is silent")
    if sample_rate_hz < LEAST_RATE_HZ:
        return clip.left_out(f"{sample_rate_hz} Hz hold no sibilants")
    phones = align(audio, sample_rate_hz, clip.words)
    if phones is None:
        return clip.left_out("its words do not align with it")
    labels = to_samples(phones, sample_rate_hz, len(audio))
    kind = (clip.source, clip.licence, clip.language, *KIND)
    recording = Recording(clip.name, *kind, sample_rate_hz, audio, labels)
    if any(is_sibilant(symbol) for _, _, symbol in labels):
        if contrast_db([recording], is_sibilant, is_vowel) < LEAST_CONTRAST_DB:
            return clip.left_out("misaligned or dulled: its sibilants are no brighter than its vowels")
    return recording


def clips(packages):
    """Every clip with its words."""
    yield from loudspeakers(packages)
    yield from a_fox(packages)
    yield from plain_sentences(packages)
    yield from tux_paint.clips(packages)


def loudspeakers(packages):
    """Names of loudspeakers: the files are named by what is said."""
    folder, source = packages.debian("alsa-utils")
    for sound in sorted((folder / "usr/share/sounds/alsa").glob("*_*.wav")):
        words = sound.stem.replace("_", " ").lower()
        yield Clip(f"alsa-{sound.stem}", source, "GPL-2", "en", sound, words)


def a_fox(packages):
    """The sentence that holds every letter."""
    folder, source = packages.debian("csoundqt-examples")
    sound = folder / "usr/share/csoundqt/Examples/SourceMaterials/fox.wav"
    words = "the quick brown fox jumps over the lazy dog"
    yield Clip("csoundqt-fox", source, "LGPL-2.1+", "en", sound, words)


def plain_sentences(packages):
    """Sentences with their words in a TextGrid: these words are aligned anew, for their phones."""
    folder, source = packages.pypi("promo", "2.0.1")
    files = folder / "examples/files"
    for name in ("mary1", "mary2", "carrots1", "carrots2", "pickles", "oranges"):
        texts = (text for _, _, text in read_tier(files / f"{name}.TextGrid", "words"))
        words = " ".join(text for text in texts if text.strip()).lower()
        yield Clip(f"promo-{name}", source, "MIT", "en", files / f"{name}.wav", words)
