"""dawdreamer (PyPI), VST3: an engine is made, its plug-in's state saved, and all made anew from it.

dawdreamer_host.py JOB.json FOLDER (job.py). Of a bundle this host loads the first plug-in only: Siskin, not Siskin Follow.
"""

import importlib.metadata

import dawdreamer
import numpy
import soundfile

from job import Job, in_a_new_process

# Samples. The host hands over a value at the beginning of a block: this is its resolution of automation.
BLOCK = 512


def engine_of(job):
    """The engine, its graph not yet loaded, and the plug-in in it."""
    engine = dawdreamer.RenderEngine(job.sample_rate_hz, BLOCK)
    plugin = engine.make_plugin_processor("insert", job.vst3)
    return engine, plugin


def automated(plugin, job):
    [index] = [parameter["index"] for parameter in plugin.get_parameters_description() if parameter["name"] == job.parameter]
    return index


def save(job):
    """In a process of its own: what is not in the file is gone."""
    _engine, plugin = engine_of(job)
    plugin.set_parameter(automated(plugin, job), job.moves[0]["normalised"])
    plugin.save_state(job.path("state.bin"))


def read(path, late):
    sound, _rate_hz = soundfile.read(path, dtype="float32", always_2d=True)
    return numpy.concatenate([sound.T, numpy.zeros((2, late), numpy.float32)], axis=1)


def bounce(job):
    engine, plugin = engine_of(job)
    plugin.load_state(job.path("state.bin"))
    latency = plugin.get_latency_samples()
    engine.load_graph([(engine.make_playback_processor("voice", read(job.voice, latency)), []), (plugin, ["voice"])])
    samples = job.samples + latency
    values = numpy.empty(samples, numpy.float32)
    for move in job.moves:
        values[move["sample"] :] = move["normalised"]
    plugin.set_automation(automated(plugin, job), values)
    engine.render(samples / job.sample_rate_hz)
    # The host tells the latency and does not take it out.
    sound = engine.get_audio()[:, latency : latency + job.samples]
    soundfile.write(job.path("bounce.wav"), sound.T, job.sample_rate_hz, subtype="FLOAT")
    moves = [dict(move, sample=-(-move["sample"] // BLOCK) * BLOCK) for move in job.moves]
    job.answer(
        version=importlib.metadata.version("dawdreamer"),
        format="VST3",
        done="state saved and loaded in a new process",
        latency_samples=latency,
        bounce=job.path("bounce.wav"),
        moves=moves,
    )


def main(job):
    for stage in (save, bounce):
        in_a_new_process(stage, job)


if __name__ == "__main__":
    main(Job.of_command_line())
