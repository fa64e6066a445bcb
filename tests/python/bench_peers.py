"""Plays a song through general-purpose processors, in another maker's host, and tells how long each pass takes.

bench_peers.py SONG.f32 VST3_BUNDLE ALL_ON.vstpreset RATE_HZ PIECE_S

The song is two channels of raw 32-bit floats, one after the other. Each line on the input names what is to be played and
on how many channels ("one 1", "three 2", "siskin 2"); the answer is the time of the processor in nanoseconds for each piece
of the song, on one line. The library cuts a piece into blocks of 512 by itself, which costs it least: no Python lies between
two blocks.
"""

import sys
import time

import numpy
import pedalboard

BLOCK = 512


def compressor():
    return pedalboard.Compressor(threshold_db=-30, ratio=4, attack_ms=4, release_ms=120)


def main(song_path, bundle, all_on, rate_hz, piece_s):
    rate_hz = float(rate_hz)
    piece_samples = int(float(piece_s) * rate_hz)
    song = numpy.fromfile(song_path, dtype=numpy.float32).reshape(2, -1)
    made = {}

    def processor(what, channels):
        # Each count of channels has its own: a change of layout would prepare it anew.
        if (what, channels) not in made:
            if what == "one":
                made[what, channels] = compressor()
            elif what == "three":
                made[what, channels] = pedalboard.Pedalboard([compressor() for _ in range(3)])
            else:
                made[what, channels] = pedalboard.load_plugin(bundle, plugin_name="Siskin")
                if what == "siskin-all-on":
                    made[what, channels].load_preset(all_on)
        return made[what, channels]

    for line in sys.stdin:
        what, *channels = line.split()
        if what == "end":
            return
        channels = int(channels[0])
        process = processor(what, channels).process
        times = []
        for start in range(0, song.shape[1], piece_samples):
            piece = numpy.ascontiguousarray(song[:channels, start : start + piece_samples])
            began = time.thread_time_ns()
            process(piece, rate_hz, buffer_size=BLOCK, reset=False)
            times.append(time.thread_time_ns() - began)
        print(*times, flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
