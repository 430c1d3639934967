"""How hard a text is to read, by a published formula.

Grade: Kincaid and others 1975, Navy Research Branch Report 8-75, as the library ``textstat`` works
it out with the syllables of the CMU Pronouncing Dictionary. Age: grade + 5, as pupils of the first
US grade are 6 years old (common practice, no source).
"""

import re
from collections.abc import Iterable

import textstat

#: figures are read aloud: one of two syllables stands for each
_NUMBER = "twenty"
_WORD = re.compile(r"[A-Za-z’']+|\d+")


def sentences(said: Iterable[str]) -> list[str]:
    """The sentences, each with its words alone."""
    ended = (one if one.endswith((".", "?", "!")) else f"{one}." for one in said)
    parts = re.split(r"(?<=[.!?])\s+", " ".join(ended))
    words = [" ".join(_NUMBER if w.isdigit() else w for w in _WORD.findall(part)) for part in parts]
    return [one for one in words if one]


def reading_age(said: Iterable[str]) -> float:
    """The age from which a text is read with ease [years]."""
    text = ". ".join(sentences(said)) + "."
    return float(textstat.flesch_kincaid_grade(text)) + 5.0


def longest(said: Iterable[str]) -> int:
    """Words in the longest sentence."""
    return max(len(one.split()) for one in sentences(said))
