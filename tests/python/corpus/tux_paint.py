"""Clips of Tux Paint's stamps: a name or a description each, by many speakers; the text lies beside them."""

import re

import soundfile

from arpabet import is_sibilant, to_arpabet
from clip import Clip
from espeak import Espeak

LICENCE = "GPL-2"
# Spanish is not among them: above 8 kHz its clips hold only what clipping makes, and their sibilants are weaker than
# their vowels even there where spectrograms show the labels to be right. Of 24 clips 23 would be left out.
LANGUAGES = ("da", "fr", "ro", "ru")
# So many are tried of each.
CLIPS_PER_LANGUAGE = 24
FULL_BAND_HZ = 44100
LEAST_S = 1.0


def clips(packages):
    """All of them."""
    folder, source = packages.debian("tuxpaint-stamps-default")
    stamps = folder / "usr/share/tuxpaint/stamps"
    yield from in_english(stamps, source)
    espeak = Espeak()
    for language in LANGUAGES:
        fit = fit_clips(stamps, source, language, espeak)
        yield from at_even_stride(fit, CLIPS_PER_LANGUAGE)


def in_english(stamps, source):
    """Names of animals; the first line of the text, where there is one, is what is said."""
    for sound in sorted(stamps.glob("**/*_desc.ogg")):
        stem = sound.stem.removesuffix("_desc")
        text = sound.with_name(f"{stem}.txt")
        if text.exists():
            words = text.read_text(encoding="utf-8").splitlines()[0].strip().rstrip(".").lower()
            yield Clip(f"tuxpaint-{stem}", source, LICENCE, "en", sound, words)


def fit_clips(stamps, source, language, espeak):
    """The clips of a language that are long enough, of full band, and whose text has letters that map and a sibilant:
    without one, nothing would show whether its labels lie on its sounds."""
    fit = []
    for sound in sorted(stamps.glob(f"**/*_desc_{language}.ogg")):
        text = text_beside(sound, language)
        facts = soundfile.info(sound)
        if text is None or facts.samplerate < FULL_BAND_HZ or facts.duration < LEAST_S:
            continue
        words = to_arpabet(espeak.ipa(language, text))
        if words and any(is_sibilant(phone) for word in words for phone in word):
            # Stems recur in other folders.
            place = sound.relative_to(stamps).with_name(sound.stem.removesuffix(f"_desc_{language}"))
            name = "-".join(("tuxpaint", language, *place.parts))
            fit.append(Clip(name, source, LICENCE, language, sound, words))
    return fit


def text_beside(sound, language):
    """What is said, as the file beside the sound tells; what stands in brackets there is not spoken."""
    text = sound.with_name(sound.name.replace(f"_desc_{language}.ogg", ".txt"))
    if not text.exists():
        return None
    start = f"{language}.utf8="
    lines = text.read_text(encoding="utf-8", errors="replace").splitlines()
    said = next((line.removeprefix(start) for line in lines if line.startswith(start)), None)
    return said and re.sub(r"\(.*?\)", "", said).strip()


def at_even_stride(items, count):
    """So many of them, from the first on, spread over all; all where there are fewer."""
    count = min(count, len(items))
    return [items[index * len(items) // count] for index in range(count)]
