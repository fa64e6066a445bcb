"""What is to be aligned, and what became of no use."""

from dataclasses import dataclass
from pathlib import Path


@dataclass
class Clip:
    """A sound file with its words: an English text, or a list of ARPAbet phones for each word."""

    name: str
    source: str
    licence: str
    language: str
    sound: Path
    words: str | list

    def left_out(self, reason):
        """This clip, as one that the corpus goes without."""
        return LeftOut(self.name, self.source, self.language, reason)


@dataclass
class LeftOut:
    """A clip that the corpus goes without."""

    name: str
    source: str
    language: str
    reason: str
