"""Plays a sound through the first plug-in of a VST3 bundle, automated at audio rate, in another maker's host (DawDreamer).

vst3_automate.py BUNDLE JOB.json IN.f32 OUT.f32

JOB.json holds "sample_rate_hz", "channels", "block" (samples) and "automation" (name of a parameter: a list of [sample, 0 ... 1],
each held until the next). The sounds are raw 32-bit floats, one channel after the other; the output is as late as the
plug-in is. Prints a JSON object: "latency_samples", "state_comes_back".
"""

import json
import os
import sys
import tempfile

import dawdreamer
import numpy


def held(steps, length):
    values = numpy.zeros(length, dtype=numpy.float32)
    for sample, value in steps:
        values[sample:] = value
    return values


def state_comes_back(engine, bundle, plugin):
    """Whether another insert that takes the state shows the same texts."""
    path = os.path.join(tempfile.mkdtemp(), "state")
    plugin.save_state(path)
    other = engine.make_plugin_processor("other", bundle)
    other.load_state(path)
    count = plugin.get_plugin_parameter_size()
    return all(plugin.get_parameter_text(index) == other.get_parameter_text(index) for index in range(count))


def main(bundle, job_path, input_path, output_path):
    with open(job_path, encoding="utf-8") as file:
        job = json.load(file)
    sound = numpy.fromfile(input_path, dtype=numpy.float32).reshape(job["channels"], -1)
    engine = dawdreamer.RenderEngine(job["sample_rate_hz"], job["block"])
    source = engine.make_playback_processor("sound", sound)
    plugin = engine.make_plugin_processor("plugin", bundle)
    indices = {described["name"]: described["index"] for described in plugin.get_parameters_description()}
    engine.load_graph([(source, []), (plugin, ["sound"])])
    for name, steps in job["automation"].items():
        plugin.set_automation(indices[name], held(steps, sound.shape[1]))
    engine.render(sound.shape[1] / job["sample_rate_hz"])
    engine.get_audio().astype(numpy.float32).tofile(output_path)
    answer = {
        "latency_samples": plugin.get_latency_samples(),
        "state_comes_back": state_comes_back(engine, bundle, plugin),
    }
    print(json.dumps(answer))


if __name__ == "__main__":
    main(*sys.argv[1:])
