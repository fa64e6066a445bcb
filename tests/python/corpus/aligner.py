"""Finds the phones of a text in a recording: forced alignment by PocketSphinx with the English model it carries.

A first pass finds the words, a second the phones, on frames of 10 ms.
"""

import numpy
from pocketsphinx import Config, Decoder
from scipy.signal import resample_poly

MODEL_RATE_HZ = 16000
FRAMES_PER_S = 100
# Words that start or end with the file align only with some quiet around them.
QUIET_S = 0.2
# A trace of noise, full scale 1: the model has never heard digital silence.
NOISE = 1e-4
PEAK = 0.5


def align(audio, sample_rate_hz, words):
    """The phones of `words`, an English text or the phones of each word: (start_s, end_s, symbol), in ARPAbet without
    stress. None where they are not found."""
    decoder = Decoder(Config(samprate=MODEL_RATE_HZ, bestpath=False, loglevel="FATAL"))
    sound = for_model(audio, sample_rate_hz)
    try:
        decoder.set_align_text(words if isinstance(words, str) else made_words(decoder, words))
        decode(decoder, sound)
        if decoder.hyp() is None:
            return None
        decoder.set_alignment()
        decode(decoder, sound)
    except RuntimeError:
        # A word that the dictionary lacks, or one that does not fit the sound.
        return None
    return [
        (in_recording(phone.start), in_recording(phone.start + phone.duration), phone.name)
        for word in decoder.get_alignment()
        for phone in word
    ]


def made_words(decoder, words):
    """A text of words that no dictionary holds, one for each list of phones, taught to the decoder."""
    names = [f"word{index}" for index in range(len(words))]
    for name, phones in zip(names, words):
        decoder.add_word(name, " ".join(phones), True)
    return " ".join(names)


def for_model(audio, sample_rate_hz):
    """The sound as the model wants it: 16 kHz, 16 bits, at a usual level, with quiet around it."""
    common = numpy.gcd(MODEL_RATE_HZ, sample_rate_hz)
    sound = resample_poly(audio, MODEL_RATE_HZ // common, sample_rate_hz // common)
    sound = numpy.pad(sound / numpy.abs(sound).max() * PEAK, int(QUIET_S * MODEL_RATE_HZ))
    sound += NOISE * numpy.random.default_rng(0).standard_normal(len(sound))
    return (sound * 32767).astype(numpy.int16).tobytes()


def decode(decoder, sound):
    """One pass over the whole sound."""
    decoder.start_utt()
    decoder.process_raw(sound, full_utt=True)
    decoder.end_utt()


def in_recording(frame):
    """The time of a frame in the recording itself, s."""
    return max(0.0, frame / FRAMES_PER_S - QUIET_S)
