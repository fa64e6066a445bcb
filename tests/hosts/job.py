"""What `cargo xtask hosts` asks of a host, and what a host answers.

JOB.json holds "plugin" (its name), "clap" and "vst3" (paths of the bundles), "voice" (path of a stereo WAV file), "reference"
(the same, for the side-chain, or null), "sample_rate_hz", "samples", "parameter" (name of the one that is automated), "id"
(its id) and "moves": {"sample", "value" (plain unit), "normalised" (0 ... 1)}, each holding until the next, the first at 0.
"also" are pairs of the name and the plain value of what is set and stays. "begins_at_sample" is where the voice begins in the session;
only Ardour's script takes another than 0.

A script answers with RESULT.json in the folder it is given: "version" of the host, "format", "done" (what was done, in
words), "latency_samples" (as the host learned it, or null), "bounce" (path of the WAV file), "moves" (as in the job: where
the host's own resolution put them), "lead_late_samples" (by how much the reference comes late, 0 where it is left away) and
"runs_before_the_song" (true where the host does not reset the plug-in before it plays). It ends with an error, and its last
line says why, where something fails.
"""

import concurrent.futures
import json
import multiprocessing
import os
import sys


class Job:
    def __init__(self, path, folder):
        with open(path, encoding="utf-8") as file:
            self.__dict__.update(json.load(file))
        self.folder = os.path.abspath(folder)

    @classmethod
    def of_command_line(cls):
        return cls(sys.argv[1], sys.argv[2])

    def path(self, name):
        return os.path.join(self.folder, name)

    def answer(self, **result):
        result.setdefault("moves", self.moves)
        with open(self.path("RESULT.json"), "w", encoding="utf-8") as file:
            json.dump(result, file)


def in_a_new_process(stage, job):
    """Runs `stage(job)` where nothing is left of what ran before."""
    with concurrent.futures.ProcessPoolExecutor(1, multiprocessing.get_context("spawn")) as new:
        return new.submit(stage, job).result()
