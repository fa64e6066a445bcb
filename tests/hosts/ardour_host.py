"""Ardour 7 (Debian package ardour), headless, by its own Lua; VST3.

ardour_host.py JOB.json FOLDER (job.py). Everything of the host's, its settings too, goes into FOLDER.
"""

import glob
import os
import re
import shutil
import subprocess
import time
import xml.etree.ElementTree

import soundfile

from job import Job

HERE = os.path.dirname(os.path.abspath(__file__))
SESSION = "siskin"
LIBRARIES = "/usr/lib/ardour7"
# The host's own time: superclock ticks per second.
SUPERCLOCK_HZ = 282_240_000
PRESET = "5ab3d0aa-2c1e-4b52-9d5a-6f1a3c8f0001"
FORMAT = "5ab3d0aa-2c1e-4b52-9d5a-6f1a3c8f0002"
# As the host's own presets for WAV files at the session's rate, but in 32-bit float.
EXPORT_PRESET = f"""<?xml version="1.0" encoding="UTF-8"?>
<ExportPreset id="{PRESET}" name="WAV 32 float"><ExportFormat id="{FORMAT}"/><ExportFilename>
<Folder relative="1" path="export"/><Field name="label" enabled="0"/><Field name="session" enabled="0"/>
<Field name="snapshot" enabled="0"/><Field name="timespan" enabled="1"/><Field name="revision" enabled="0"/>
<Field name="time" enabled="0" value="T_None"/><Field name="date" enabled="0" value="D_None"/></ExportFilename></ExportPreset>
"""
EXPORT_FORMAT = f"""<?xml version="1.0" encoding="UTF-8"?>
<ExportFormatSpecification name="WAV 32 float" id="{FORMAT}" with-cue="false" with-toc="false" analyse="false">
<Encoding id="F_WAV" type="T_Sndfile" extension="wav" name="WAV" has-sample-format="true" channel-limit="256"/>
<SampleRate rate="SR_Session"/><SRCQuality quality="SRC_SincBest"/><EncodingOptions>
<Option name="sample-format" value="SF_Float"/><Option name="dithering" value="D_None"/><Option name="tag-metadata" value="false"/>
<Option name="tag-support" value="false"/><Option name="broadcast-info" value="false"/></EncodingOptions><Processing>
<Normalize enabled="false" loudness="no" dbfs="0" lufs="-23" dbtp="-1"/><Silence>
<Start><Trim enabled="false"/><Add enabled="false"><Duration format="Timecode" hours="0" minutes="0" seconds="0" frames="0"/></Add></Start>
<End><Trim enabled="false"/><Add enabled="false"><Duration format="Timecode" hours="0" minutes="0" seconds="0" frames="0"/></Add></End>
</Silence></Processing></ExportFormatSpecification>
"""
# What a region of a session file holds beside its sources and its length.
REGION = {
    "muted": "0", "opaque": "1", "locked": "0", "video-locked": "0", "automatic": "0", "whole-file": "0", "import": "0",
    "external": "0", "sync-marked": "0", "left-of-split": "0", "right-of-split": "0", "hidden": "0", "position-locked": "0",
    "valid-transients": "0", "start": "a0", "sync-position": "a0", "ancestral-start": "a0", "ancestral-length": "a0@a0",
    "stretch": "1", "shift": "1", "layering-index": "0", "tags": "", "contents": "0", "envelope-active": "0",
    "default-fade-in": "0", "default-fade-out": "0", "fade-in-active": "0", "fade-out-active": "0", "scale-amplitude": "1",
    "type": "audio", "first-edit": "nothing",
}


class Ardour:
    def __init__(self, job):
        self.job = job
        self.home = job.path("home")
        self.session = job.path("session")
        self.environment = dict(
            os.environ,
            HOME=self.home,
            XDG_CONFIG_HOME=os.path.join(self.home, "config"),
            XDG_CACHE_HOME=os.path.join(self.home, "cache"),
        )
        plugins = os.path.join(self.home, ".vst3")
        presets = os.path.join(self.home, "config", "ardour7", "export")
        for folder in (plugins, presets):
            os.makedirs(folder)
        os.symlink(job.vst3, os.path.join(plugins, os.path.basename(job.vst3)))
        for name, text in (("float.preset", EXPORT_PRESET), ("float.format", EXPORT_FORMAT)):
            with open(os.path.join(presets, name), "w", encoding="utf-8") as file:
                file.write(text)

    def run(self, command, **environment):
        with open(self.job.path("log.txt"), "a", encoding="utf-8") as log:
            ran = subprocess.run(
                command, env=dict(self.environment, **environment), stdout=subprocess.PIPE, stderr=log, text=True, timeout=300
            )
            log.write(ran.stdout)
        # The host sometimes falls over while it ends, with any plug-in or none: what counts is that it said it was done.
        if ran.returncode and "\ndone" not in ran.stdout:
            raise SystemExit(f"{' '.join(command[:2])} failed; {self.job.path('log.txt')} says why")
        return ran.stdout

    def lua(self, script, *arguments):
        command = ["ardour7-lua", os.path.join(HERE, "ardour", script), self.session, SESSION]
        return self.run(command + [str(argument) for argument in arguments])

    def scan(self):
        bundle = os.path.join(self.home, ".vst3", os.path.basename(self.job.vst3))
        self.run([os.path.join(LIBRARIES, "ardour-vst3-scanner"), "-f", bundle], LD_LIBRARY_PATH=LIBRARIES)
        # The host takes a cache only where it is a full second younger than the library.
        for cache in glob.glob(os.path.join(self.home, "cache", "ardour7", "vst", "*.v3i")):
            os.utime(cache, (time.time() + 5,) * 2)

    def version(self):
        # The host's own program asks for a display before it tells its version.
        listed = subprocess.run(["dpkg-query", "--show", "--showformat=${Version}", "ardour"], capture_output=True, text=True)
        return listed.stdout or "unknown"

    def place(self, track, wav):
        """Puts a sound onto a track, where the song begins. Without a window the host imports nothing: the session file is edited."""
        path = os.path.join(self.session, f"{SESSION}.ardour")
        tree = xml.etree.ElementTree.parse(path)
        root = tree.getroot()
        [sounds] = glob.glob(os.path.join(self.session, "interchange", "*", "audiofiles"))
        name = os.path.basename(wav)
        shutil.copy(wav, sounds)
        ids = [int(node.get("id")) for node in root.iter() if (node.get("id") or "").isdigit()]
        next_id = max(ids + [int(root.get("id-counter"))]) + 1000
        region = dict(REGION, name=f"{track}.1", channels="2", id=str(next_id + 2))
        for channel in range(2):
            source = {"name": name, "take-id": "", "type": "audio", "flags": "", "id": str(next_id + channel)}
            source.update({"channel": str(channel), "origin": "", "natural-position": "a0", "gain": "1"})
            xml.etree.ElementTree.SubElement(root.find("Sources"), "Source", source)
            region[f"source-{channel}"] = region[f"master-source-{channel}"] = str(next_id + channel)
        ticks = soundfile.info(wav).frames * (SUPERCLOCK_HZ // self.job.sample_rate_hz)
        begins = self.job.begins_at_sample * (SUPERCLOCK_HZ // self.job.sample_rate_hz)
        region["length"] = f"a{ticks}@a{begins}"
        [playlist] = [node for node in root.find("Playlists") if node.get("name") == track]
        xml.etree.ElementTree.SubElement(playlist, "Region", region)
        root.set("id-counter", str(next_id + 100))
        tree.write(path, encoding="UTF-8", xml_declaration=True)


def main(job):
    host = Ardour(job)
    host.scan()
    tracks = ["voice"] + (["lead"] if job.reference else [])
    host.lua("create.lua", job.sample_rate_hz, *tracks)
    for track, wav in zip(tracks, (job.voice, job.reference)):
        host.place(track, wav)
    moves = [f"{move['sample']}={move['value']!r}" for move in job.moves]
    also = ";".join(f"{name}={value!r}" for name, value in job.also)
    arranged = host.lua("arrange.lua", job.plugin, job.parameter, tracks[1] if job.reference else "-", also, *moves)
    printed = host.lua("bounce.lua", job.begins_at_sample, job.samples, job.folder, "bounce", PRESET)
    points = re.search(r"^points\s+(\d+)", arranged, re.M).group(1)
    latency = re.search(r"^latency_samples\s+(\d+)", printed, re.M).group(1)
    latency = int(latency)
    done = f"session saved and re-opened, {points} automation points, exported in 32-bit float"
    if job.reference:
        done += ", lead sent to the side-chain"
    job.answer(
        version=host.version(),
        format="VST3",
        done=done,
        latency_samples=latency,
        bounce=job.path("bounce.wav"),
        # A value changes when the sound of its time leaves the plug-in, not when it enters.
        moves=[dict(move, sample=move["sample"] and move["sample"] + latency) for move in job.moves],
        # The engine runs from the moment the session is open, and resets no plug-in when it starts to play.
        runs_before_the_song=True,
        # The send leaves the lead's track where that is in step with what comes out of the plug-in.
        lead_late_samples=latency if job.reference else 0,
    )


if __name__ == "__main__":
    main(Job.of_command_line())
