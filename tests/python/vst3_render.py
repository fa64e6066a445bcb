"""Plays a sound through one plug-in of a VST3 bundle, in another maker's host.

vst3_render.py BUNDLE PLUGIN JOB.json IN.f32 OUT.f32

JOB.json holds "sample_rate_hz", "channels", "block" (samples), "values" (name of a parameter: 0 ... 1) and "preset" (a
preset file to load before, or null). The sounds are raw 32-bit floats, one channel after the other. The host takes the latency out by itself.
"""

import json
import sys

import numpy
import pedalboard


def main(bundle, plugin_name, job_path, input_path, output_path):
    with open(job_path, encoding="utf-8") as file:
        job = json.load(file)
    sound = numpy.fromfile(input_path, dtype=numpy.float32).reshape(job["channels"], -1)
    plugin = pedalboard.load_plugin(bundle, plugin_name=plugin_name)
    if job["preset"]:
        plugin.load_preset(job["preset"])
    parameters = {parameter.name: parameter for parameter in plugin.parameters.values()}
    for name, value in job["values"].items():
        parameters[name].raw_value = value

    def play(sound):
        return plugin.process(sound, job["sample_rate_hz"], buffer_size=job["block"], reset=True)

    # Values reach the plug-in with the sound and glide to their places: the pass that counts starts from there.
    play(numpy.zeros_like(sound[:, : job["block"]]))
    play(sound).astype(numpy.float32).tofile(output_path)


if __name__ == "__main__":
    main(*sys.argv[1:])
