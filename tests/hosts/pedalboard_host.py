"""pedalboard (PyPI), VST3: no session of its own, so the state that it saves is one.

pedalboard_host.py JOB.json FOLDER (job.py)
"""

import numpy
import pedalboard
import soundfile

from job import Job, in_a_new_process

BLOCK = 512


def plugin_of(job):
    return pedalboard.load_plugin(job.vst3, plugin_name=job.plugin)


def automated(plugin, job):
    [parameter] = [parameter for parameter in plugin.parameters.values() if parameter.name == job.parameter]
    return parameter


def save(job):
    """In a process of its own: what is not in the file is gone."""
    plugin = plugin_of(job)
    # Not the plain value: the host rounds that to a table.
    automated(plugin, job).raw_value = job.moves[0]["normalised"]
    # A value reaches the plug-in with sound only.
    plugin.process(numpy.zeros((2, BLOCK), numpy.float32), job.sample_rate_hz, buffer_size=BLOCK)
    with open(job.path("state.bin"), "wb") as file:
        file.write(plugin.raw_state)


def bounce(job):
    plugin = plugin_of(job)
    with open(job.path("state.bin"), "rb") as file:
        plugin.raw_state = file.read()
    voice, rate_hz = soundfile.read(job.voice, dtype="float32", always_2d=True)
    # Makes the host tell the plug-in the sample rate, on which the latency depends; then all begins anew.
    plugin.process(numpy.zeros((2, BLOCK), numpy.float32), rate_hz, buffer_size=BLOCK)
    latency = plugin.reported_latency_samples
    plugin.reset()
    # The host takes the latency out by leaving the first samples away; silence at the end fetches the last ones.
    sound = numpy.concatenate([voice.T, numpy.zeros((2, latency), numpy.float32)], axis=1)
    ends = [move["sample"] for move in job.moves[1:]] + [sound.shape[1]]
    pieces = []
    for move, end in zip(job.moves, ends):
        automated(plugin, job).raw_value = move["normalised"]
        piece = sound[:, move["sample"] : end]
        pieces.append(plugin.process(piece, rate_hz, buffer_size=BLOCK, reset=False))
    soundfile.write(job.path("bounce.wav"), numpy.concatenate(pieces, axis=1).T, rate_hz, subtype="FLOAT")
    job.answer(
        version=pedalboard.__version__,
        format="VST3",
        done="state saved and loaded in a new process, one piece a section",
        latency_samples=latency,
        bounce=job.path("bounce.wav"),
    )


def main(job):
    for stage in (save, bounce):
        in_a_new_process(stage, job)


if __name__ == "__main__":
    main(Job.of_command_line())
