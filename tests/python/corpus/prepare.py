"""Makes the corpus of labelled voices: prepare.py FOLDER.

FOLDER/recordings/NAME.wav and NAME.tsv, as `recording` describes them, and FOLDER/manifest.json: what each of them is,
and how many clips are left out for what reason.
Packages are kept in FOLDER/packages, so that only missing ones are fetched.
"""

import json
import shutil
import sys
from collections import Counter
from itertools import groupby
from pathlib import Path

import aligned
import by_eye
import labelled
import synthesised
from arpabet import is_sibilant, is_vowel
from clip import LeftOut
from packages import Packages
from recording import contrast_db

# A set of labels that belongs to its sounds has brighter sibilants than vowels: +5 dB in the dullest of these voices,
# which is Romanian. Labels half a second late show about 0.
LEAST_CONTRAST_DB = 4.0


def main(folder):
    folder = Path(folder)
    packages = Packages(folder)
    made = []
    left_out = []
    for kind in (labelled, aligned, by_eye, synthesised):
        print(f"{kind.__name__} voices", flush=True)
        recordings = []
        for found in kind.recordings(packages):
            if isinstance(found, LeftOut):
                print(f"  {found.name} left out: {found.reason}", flush=True)
                left_out.append(found)
            else:
                recordings.append(found)
        if kind is aligned:
            check(recordings)
        made += recordings
    write(folder, made, left_out)
    minutes = sum(len(recording.audio) / recording.sample_rate_hz for recording in made) / 60.0
    print(f"{len(made)} recordings, {minutes:.1f} min; {len(left_out)} clips left out", flush=True)


def write(folder, made, left_out):
    """The recordings and the manifest; nothing of an earlier corpus stays behind."""
    shutil.rmtree(folder / "recordings", ignore_errors=True)
    (folder / "recordings").mkdir()
    for recording in made:
        recording.write(folder / "recordings")
    manifest = {"recordings": [recording.described() for recording in made], "left_out": counted(left_out)}
    text = json.dumps(manifest, indent=1, ensure_ascii=False)
    (folder / "manifest.json").write_text(text + "\n", encoding="utf-8")


def counted(left_out):
    """How many clips of a source and a language are left out for a reason."""
    reasons = Counter((clip.source, clip.language, clip.reason) for clip in left_out)
    keys = ("source", "language", "reason", "clips")
    return [dict(zip(keys, (*reason, clips))) for reason, clips in reasons.items()]


def check(recordings):
    """Stops where the phones of a source, in one of its languages, do not lie on its sounds."""
    for (source, language), group in groupby(recordings, key=lambda each: (each.source, each.language)):
        contrast = contrast_db(list(group), is_sibilant, is_vowel)
        print(f"  {source}, {language}: sibilants {contrast:+.1f} dB brighter than vowels", flush=True)
        if contrast < LEAST_CONTRAST_DB:
            sys.exit(f"the alignment of {source} in {language} failed: this is less than {LEAST_CONTRAST_DB:.0f} dB")


if __name__ == "__main__":
    main(*sys.argv[1:])
