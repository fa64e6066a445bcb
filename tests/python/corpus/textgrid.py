"""Tiers of intervals out of Praat's TextGrid files, in the long form and in the short one.

Format: the manual of Praat, "TextGrid file formats" (from memory): both forms hold the same values in the same order.
"""

import re

# A quoted text, in which a quote is doubled, or a number. What the long form puts before a value matches neither,
# but for the counters in brackets, which go first.
VALUE = re.compile(r'"((?:[^"]|"")*)"|(?<![\w.])(-?\d+(?:\.\d*)?(?:[eE]-?\d+)?)')
COUNTER = re.compile(r"\[\d*\]")


def read_tier(path, name):
    """The intervals of the tier called `name`: (start_s, end_s, text)."""
    content = path.read_bytes()
    encoding = "utf-16" if content[:2] in (b"\xfe\xff", b"\xff\xfe") else "utf-8"
    return tiers(COUNTER.sub("", content.decode(encoding, errors="replace")))[name]


def tiers(text):
    """All tiers of intervals by their names."""
    values = iter(VALUE.findall(text))

    def word():
        return next(values)[0].replace('""', '"')

    def number():
        return float(next(values)[1])

    word(), word(), number(), number()
    found = {}
    for _ in range(int(number())):
        kind, name = word(), word()
        number(), number()
        count = int(number())
        if kind == "IntervalTier":
            found[name] = [(number(), number(), word()) for _ in range(count)]
        else:
            # A tier of points: a time and a text each.
            for _ in range(count):
                number(), word()
    return found
