"""Loads a VST3 preset into one plug-in of a VST3 bundle, in another maker's host, and tells what it set.

vst3_preset.py BUNDLE PLUGIN FILE.vstpreset

The host saves presets by itself, too. Prints a JSON object: "class_ids", that of the file and that of the host's own;
"before" and "after", the states that the host's own presets of a new plug-in and of a loaded one hold. Ends with an error
where the host refuses the file, as it does where the class id is another plug-in's.
"""

import json
import struct
import sys

import pedalboard


def class_id(preset):
    return preset[8:40].decode("ascii")


def state(preset):
    """The chunk "Comp" (layout: plugin/presets/src/file.rs)."""
    list_at = struct.unpack_from("<q", preset, 40)[0]
    count = struct.unpack_from("<i", preset, list_at + 4)[0]
    for entry in range(count):
        name, offset, size = struct.unpack_from("<4sqq", preset, list_at + 8 + 20 * entry)
        if name == b"Comp":
            return json.loads(preset[offset : offset + size])
    raise ValueError("no chunk Comp")


def main(bundle, plugin_name, preset_path):
    plugin = pedalboard.load_plugin(bundle, plugin_name=plugin_name)
    before = plugin.preset_data
    plugin.load_preset(preset_path)
    with open(preset_path, "rb") as file:
        class_ids = [class_id(file.read()), class_id(before)]
    # Not the values of the host's own list: it updates them only while it has a window.
    answer = {"class_ids": class_ids, "before": state(before), "after": state(plugin.preset_data)}
    print(json.dumps(answer))


if __name__ == "__main__":
    main(*sys.argv[1:])
