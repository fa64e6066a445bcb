"""The speech synthesiser eSpeak NG through its C interface (speak_lib.h), which tells to the sample when it speaks
what.

Its command line prints no times for its own voices. The library is initialised once per process: a second time hangs.
"""

import ctypes

import numpy

AUDIO_OUTPUT_RETRIEVAL = 1
INITIALIZE_PHONEME_EVENTS = 1
CHARS_UTF8 = 1
# Phonemes in the International Phonetic Alphabet, with the character that parts them from bit 8 on.
PHONEMES_IPA = 2
PARTED_BY_UNDERSCORE = ord("_") << 8
EVENT_LIST_TERMINATED = 0
EVENT_PHONEME = 7
FULL_SCALE = 32768.0


class EventId(ctypes.Union):
    """What an event is about: for phonemes a mnemonic of at most eight bytes."""

    _fields_ = [("number", ctypes.c_int), ("name", ctypes.c_char_p), ("string", ctypes.c_char * 8)]


class Event(ctypes.Structure):
    """espeak_EVENT."""

    _fields_ = [
        ("type", ctypes.c_int),
        ("unique_identifier", ctypes.c_uint),
        ("text_position", ctypes.c_int),
        ("length", ctypes.c_int),
        ("audio_position", ctypes.c_int),
        ("sample", ctypes.c_int),
        ("user_data", ctypes.c_void_p),
        ("id", EventId),
    ]


Callback = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.POINTER(Event))


class Espeak:
    """The synthesiser; at most one in a process."""

    def __init__(self):
        try:
            self.library = ctypes.CDLL("libespeak-ng.so.1")
        except OSError:
            raise SystemExit("the library of eSpeak NG is missing: install the package libespeak-ng1") from None
        self.library.espeak_Info.restype = ctypes.c_char_p
        self.library.espeak_TextToPhonemes.restype = ctypes.c_char_p
        self.sample_rate_hz = self.library.espeak_Initialize(
            AUDIO_OUTPUT_RETRIEVAL, 0, None, INITIALIZE_PHONEME_EVENTS
        )
        self.version = self.library.espeak_Info(None).decode().split()[0]
        self.chunks = []
        self.starts = []
        # Kept here, or it would be collected while the library still calls it.
        self.callback = Callback(self.take)
        self.library.espeak_SetSynthCallback(self.callback)

    def take(self, sound, count, events):
        """Called by the library with each stretch of sound and its events; 0 means go on."""
        if count > 0:
            self.chunks.append(numpy.ctypeslib.as_array(sound, (count,)).copy())
        for event in events_of(events):
            if event.type == EVENT_PHONEME:
                mnemonic = bytes(event.id.string).split(b"\0")[0].decode()
                self.starts.append((event.sample, mnemonic))
        return 0

    def speak(self, voice, text):
        """The sound of a text and its labels: (start_sample, end_sample, mnemonic)."""
        self.chunks.clear()
        self.starts.clear()
        self.choose(voice)
        content = text.encode()
        self.library.espeak_Synth(content, len(content) + 1, 0, 0, 0, CHARS_UTF8, None, None)
        self.library.espeak_Synchronize()
        audio = numpy.concatenate(self.chunks) / FULL_SCALE
        ends = [start for start, _ in self.starts[1:]] + [len(audio)]
        labels = [(start, end, name) for (start, name), end in zip(self.starts, ends) if name and start < end]
        return audio, labels

    def ipa(self, voice, text):
        """How a voice would speak a text: words parted by spaces, their phonemes by "_"."""
        self.choose(voice)
        left = ctypes.c_char_p(text.encode())
        clauses = []
        # The library takes a clause a call and moves the pointer on, to nothing at the end.
        while left.value is not None:
            form = PHONEMES_IPA | PARTED_BY_UNDERSCORE
            clauses.append(self.library.espeak_TextToPhonemes(ctypes.byref(left), CHARS_UTF8, form).decode())
        return " ".join(clauses)

    def choose(self, voice):
        """Takes a voice by its name."""
        if self.library.espeak_SetVoiceByName(voice.encode()) != 0:
            raise SystemExit(f"eSpeak NG {self.version} has no voice {voice}: install espeak-ng-data anew")


def events_of(events):
    """The events of a list up to its end."""
    index = 0
    while events[index].type != EVENT_LIST_TERMINATED:
        yield events[index]
        index += 1
