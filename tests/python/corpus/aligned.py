"""Recordings whose words are known: their phones are found by forced alignment."""

from aligner import align
from recording import ARPABET, GRID_10_MS, REAL, Recording, read_mono, to_samples
from textgrid import read_tier

# Below this peak (full scale 1) a clip is empty.
SILENT = 1e-3
# Below this rate, Hz, hardly anything of a sibilant is left.
LEAST_RATE_HZ = 12000
KIND = ("en", REAL, GRID_10_MS, ARPABET)


def recordings(packages):
    """All clips that align; a line tells of each that does not."""
    for name, source, licence, sound, words in clips(packages):
        audio, sample_rate_hz = read_mono(sound)
        if reason := unfit(audio, sample_rate_hz):
            print(f"  {name} left out: {reason}", flush=True)
            continue
        phones = align(audio, sample_rate_hz, words)
        if phones is None:
            print(f'  {name} left out: "{words}" does not align with it', flush=True)
            continue
        labels = to_samples(phones, sample_rate_hz, len(audio))
        yield Recording(name, source, licence, *KIND, sample_rate_hz, audio, labels)


def unfit(audio, sample_rate_hz):
    """Why a clip is of no use here, if it is of none."""
    if sample_rate_hz < LEAST_RATE_HZ:
        return f"{sample_rate_hz} Hz hold no sibilants"
    return "it is silent" if abs(audio).max() < SILENT else None


def clips(packages):
    """Every clip with its words: (name, source, licence, sound file, words)."""
    yield from loudspeakers(packages)
    yield from a_fox(packages)
    yield from plain_sentences(packages)
    yield from animals(packages)


def loudspeakers(packages):
    """Names of loudspeakers: the files are named by what is said."""
    folder, source = packages.debian("alsa-utils")
    for sound in sorted((folder / "usr/share/sounds/alsa").glob("*_*.wav")):
        yield f"alsa-{sound.stem}", source, "GPL-2", sound, sound.stem.replace("_", " ").lower()


def a_fox(packages):
    """The sentence that holds every letter."""
    folder, source = packages.debian("csoundqt-examples")
    sound = folder / "usr/share/csoundqt/Examples/SourceMaterials/fox.wav"
    yield "csoundqt-fox", source, "LGPL-2.1+", sound, "the quick brown fox jumps over the lazy dog"


def plain_sentences(packages):
    """Sentences with their words in a TextGrid: these words are aligned anew, for their phones."""
    folder, source = packages.pypi("promo", "2.0.1")
    files = folder / "examples/files"
    for name in ("mary1", "mary2", "carrots1", "carrots2", "pickles", "oranges"):
        texts = (text for _, _, text in read_tier(files / f"{name}.TextGrid", "words"))
        words = " ".join(text for text in texts if text.strip()).lower()
        yield f"promo-{name}", source, "MIT", files / f"{name}.wav", words


def animals(packages):
    """Names of animals in English; the first line of the text beside a clip, where there is one, is what is said."""
    folder, source = packages.debian("tuxpaint-stamps-default")
    for sound in sorted(folder.glob("**/*_desc.ogg")):
        stem = sound.stem.removesuffix("_desc")
        text = sound.with_name(f"{stem}.txt")
        if text.exists():
            words = text.read_text(encoding="utf-8").splitlines()[0].strip().rstrip(".").lower()
            yield f"tuxpaint-{stem}", source, "GPL-2", sound, words
