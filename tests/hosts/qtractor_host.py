"""qtractor (Debian packages qtractor, jackd2, xvfb), CLAP, under Xvfb, on a sound server without a device.

qtractor_host.py JOB.json FOLDER (job.py). Plays in real time: what it sends to the sound server is recorded. Everything of
the host's, its settings too, goes into FOLDER.
"""

import base64
import contextlib
import json
import os
import re
import signal
import struct
import subprocess
import time
import xml.etree.ElementTree as ElementTree
import zlib

import numpy
import soundfile

from job import Job

HERE = os.path.dirname(os.path.abspath(__file__))
SESSION = "siskin.qtr"
# Seconds of silence before the song: the host leaves out what it plays while the transport starts.
LEAD_IN_S = 2
PERIOD = 512


class Machine:
    """A screen, a sound server and the folders of a person who has never run the host."""

    def __init__(self, job, stack):
        self.job, self.stack = job, stack
        home = job.path("home")
        os.makedirs(home)
        self.log = stack.enter_context(open(job.path("log.txt"), "w", encoding="utf-8"))
        self.environment = dict(os.environ, HOME=home, XDG_CONFIG_HOME=os.path.join(home, "config"), XDG_RUNTIME_DIR=home)
        self.environment.update(JACK_DEFAULT_SERVER=f"siskin{os.getpid()}", JACK_NO_AUDIO_RESERVATION="1", LC_ALL="C.UTF-8")
        self.environment["DISPLAY"] = ":" + self.screen()
        server = ["jackd", "-r", "-S", "-n", self.environment["JACK_DEFAULT_SERVER"], "-d", "dummy"]
        self.start(server + ["-r", str(job.sample_rate_hz), "-p", str(PERIOD)])
        self.run("jack_wait", "-w", "-t", "10")
        shim = os.path.join(HERE, "qtractor", "silent_sequencer.c")
        self.run("gcc", "-w", "-shared", "-fPIC", "-o", job.path("silent_sequencer.so"), shim)

    def start(self, command, **more):
        process = subprocess.Popen(command, env=self.environment, stderr=self.log, **dict({"stdout": self.log}, **more))
        self.stack.callback(end, process)
        return process

    def run(self, *command, **more):
        ran = subprocess.run(command, env=self.environment, stderr=self.log, stdout=subprocess.PIPE, text=True, timeout=60, **more)
        if ran.returncode:
            raise SystemExit(f"{command[0]} failed; {self.job.path('log.txt')} says why")
        return ran.stdout

    def screen(self):
        process = self.start(["Xvfb", "-displayfd", "1", "-screen", "0", "1200x800x24"], stdout=subprocess.PIPE, text=True)
        return process.stdout.readline().strip()

    def ports(self):
        listed = subprocess.run(["jack_lsp"], env=self.environment, stdout=subprocess.PIPE, stderr=self.log, text=True, timeout=60)
        return listed.stdout.split()

    @contextlib.contextmanager
    def host(self):
        """The host with the session open, until it is asked to close."""
        environment = dict(self.environment, LD_PRELOAD=self.job.path("silent_sequencer.so"))
        command = ["qtractor", self.job.path(SESSION)]
        process = subprocess.Popen(command, env=environment, stdout=self.log, stderr=self.log, cwd=self.job.folder)
        self.stack.callback(end, process)
        wait(lambda: any(port.startswith("Qtractor:") for port in self.ports()), "the host did not open its ports")
        time.sleep(3)
        yield process
        end(process)
        wait(lambda: not any(port.startswith("Qtractor:") for port in self.ports()), "the host did not close")

    def save(self, process):
        path = self.job.path(SESSION)
        before = os.stat(path).st_mtime_ns
        # The host's answer to this signal is to save (LADISH, level 1).
        process.send_signal(signal.SIGUSR1)
        wait(lambda: os.stat(path).st_mtime_ns != before, "the host did not save")
        time.sleep(1)


def end(process):
    if process.poll() is None:
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()


def wait(happened, else_say, seconds=20):
    for _ in range(seconds * 5):
        if happened():
            return
        time.sleep(0.2)
    raise SystemExit(else_say)


def element(parent, tag, text=None, **attributes):
    made = ElementTree.SubElement(parent, tag, attributes)
    made.text = text
    return made


def write_first_session(job):
    """A track, a clip and the plug-in: as little as the host takes."""
    with open(os.path.join(HERE, "qtractor", "session.xml"), encoding="utf-8") as file:
        session = ElementTree.fromstring(file.read())
    session.find("properties/directory").text = job.folder
    session.find("properties/sample-rate").text = str(job.sample_rate_hz)
    track = session.find("tracks/track")
    clip = element(track.find("clips"), "clip", name="voice")
    properties = element(clip, "properties")
    start = LEAD_IN_S * job.sample_rate_hz
    for tag, number in (("start", start), ("offset", 0), ("length", job.samples), ("fade-in", 0), ("fade-out", 0)):
        element(properties, tag, str(number))
    element(element(clip, "audio-clip"), "filename", job.voice)
    plugin = track.find("plugins/plugin")
    plugin.find("filename").text = job.clap
    plugin.find("label").text = job.plugin.replace(" ", "_")
    plugin.find("index").text = str({"Siskin": 0, "Siskin Follow": 1}[job.plugin])
    write(job, session)


def write(job, session):
    with open(job.path(SESSION), "wb") as file:
        file.write(b"<!DOCTYPE qtractorSession>\n" + ElementTree.tostring(session, encoding="utf-8"))


def set_value(job):
    """Sets the first value in the state that the host has saved, for it takes no other way without a hand at its window.

    Not the automation, nor the values beside the state: both, written as the host itself writes them, were read from the
    session and then not taken over, for a CLAP plug-in.
    """
    session = ElementTree.parse(job.path(SESSION)).getroot()
    state = session.find("tracks/track/plugins/plugin/configs/config")
    # Qt's compression: the length, then zlib. In it a CLAP state of ours: the length, then JSON.
    saved = json.loads(zlib.decompress(base64.b64decode(state.text)[4:])[8:])
    saved["params"][job.id]["f32"] = job.moves[0]["value"]
    changed = json.dumps(saved).encode()
    changed = struct.pack("<Q", len(changed)) + changed
    state.text = base64.b64encode(struct.pack(">I", len(changed)) + zlib.compress(changed)).decode()
    write(job, session)


def record(machine):
    """The song from its top, as the host sends it to the sound server."""
    job = machine.job
    seconds = job.samples / job.sample_rate_hz
    sources = sorted(port for port in machine.ports() if re.fullmatch(r"Qtractor:Master/out_\d", port))
    record = ["jack_rec", "-f", job.path("recorded.wav"), "-d", str(int(seconds) + LEAD_IN_S + 6), "-b", "32"]
    recorder = machine.start(record + sources)
    time.sleep(2)
    machine.run("jack_transport", input="locate 0\nplay\nquit\n")
    recorder.wait(seconds + 30)
    machine.run("jack_transport", input="stop\nquit\n")
    sound, rate_hz = soundfile.read(job.path("recorded.wav"), dtype="float32", always_2d=True)
    [heard] = numpy.nonzero(numpy.any(sound != 0, axis=1))
    # The voice begins with the noise of its room: the first sample that is not silence is its first one.
    sound = sound[heard[0] :][: job.samples]
    soundfile.write(job.path("bounce.wav"), sound, rate_hz, subtype="FLOAT")


def main(job):
    with contextlib.ExitStack() as stack:
        machine = Machine(job, stack)
        write_first_session(job)
        with machine.host() as process:
            machine.save(process)
        set_value(job)
        with machine.host() as process:
            machine.save(process)
        with machine.host():
            record(machine)
    version = subprocess.run(["dpkg-query", "--show", "--showformat=${Version}", "qtractor"], capture_output=True, text=True)
    job.answer(
        version=version.stdout or "unknown",
        format="CLAP",
        done="session saved and re-opened twice, one value throughout, played in real time and recorded",
        latency_samples=None,
        moves=job.moves[:1],
        # The sound server's cycles reach the plug-in from the moment the session is open.
        runs_before_the_song=True,
        bounce=job.path("bounce.wav"),
    )


if __name__ == "__main__":
    main(Job.of_command_line())
