"""The phones of an English aligner, ARPAbet, and what the International Phonetic Alphabet becomes in it, as eSpeak NG
writes that.

Sibilants keep their place and their voice, everything else becomes what is nearest to it in English: enough to find
where a phone lies, not to tell a French vowel from a Danish one.
"""

SIBILANTS = {"S", "SH", "CH", "Z", "ZH", "JH"}

# A row: the English phones and, parted by spaces, what becomes of them. Affricates come in two letters.
TABLE = [
    ("S", "s"),
    ("Z", "z"),
    ("SH", "ʃ ʂ ɕ"),
    ("ZH", "ʒ ʐ ʑ"),
    ("CH", "tʃ tʂ tɕ"),
    ("JH", "dʒ dʐ dʑ"),
    ("F", "f"),
    ("V", "v ʋ β"),
    ("TH", "θ"),
    ("DH", "ð"),
    ("HH", "h x χ ç"),
    ("P", "p"),
    ("B", "b"),
    ("T", "t"),
    ("D", "d"),
    ("K", "k"),
    ("G", "ɡ ɣ"),
    ("M", "m"),
    ("N", "n ɲ"),
    ("NG", "ŋ"),
    ("L", "l ɫ ɭ ʎ"),
    ("R", "r ɾ ʁ ɹ"),
    ("Y", "j ʝ"),
    ("W", "w ɥ"),
    ("AA", "a ɑ"),
    ("AH", "ə ɐ ʌ"),
    # The second is a Greek letter, which the Danish voice writes.
    ("EH", "ɛ ε"),
    ("EY", "e"),
    ("IH", "ɪ ɨ"),
    ("IY", "i"),
    ("AO", "ɔ ɒ"),
    ("OW", "o"),
    ("UH", "ʊ ɵ"),
    ("UW", "u y ɯ ʉ"),
    ("ER", "œ ø ɜ ɚ"),
]
ARPABET_OF = {letters: phone for phone, row in TABLE for letters in row.split()}
# Stress, length, palatal, nasal and syllabic marks, glottal stops: English has none of these to align.
MARKS = dict.fromkeys(map(ord, "ˈˌːˑʲ\u0303\u0329\u032a\u032fˠ\u0361ʔ?^\"'-"))


def is_sibilant(phone):
    """Whether the ear looks for it."""
    return phone in SIBILANTS


def is_vowel(phone):
    """Whether it is one; all of them begin with the letter of a vowel, and nothing else does."""
    return phone[0] in "AEIOU"


def to_arpabet(words):
    """The phones of each word; phonemes come parted by "_". None where a letter is not in the table, or where the
    voice changes to another language, which it puts in brackets."""
    found = []
    for word in words.replace("‿", " ").split():
        phones = []
        for phoneme in word.translate(MARKS).split("_"):
            known = of_phoneme(phoneme)
            if known is None:
                return None
            phones += known
        if phones:
            found.append(phones)
    return found


def of_phoneme(letters):
    """The phones of one phoneme: the longest match first, so that an affricate is one."""
    phones = []
    while letters:
        length = 2 if letters[:2] in ARPABET_OF else 1
        phone = ARPABET_OF.get(letters[:length])
        if phone is None:
            return None
        phones.append(phone)
        letters = letters[length:]
    return phones
