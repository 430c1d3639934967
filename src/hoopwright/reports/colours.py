"""The colours of figures and print: our own, ≥ 4.5:1 on their ground, told apart without hue.

Makes and misses also differ by shape, ranges by thickness, so that colour is never the only
sign. Contrast is computed in the tests by the WCAG 2.2 formula.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Scheme:
    """One set of colours."""

    ground: str
    ink: str
    muted: str
    #: hair lines and grids
    line: str
    #: estimates and their ranges
    mark: str
    made: str
    missed: str


LIGHT = Scheme(
    ground="#ffffff",
    ink="#1b2430",
    muted="#55606e",
    line="#d5dae0",
    mark="#0e6a62",
    made="#1f5fa8",
    missed="#a6430b",
)
DARK = Scheme(
    ground="#171c22",
    ink="#eceff2",
    muted="#a9b4bf",
    line="#39424c",
    mark="#6fd0c3",
    made="#8abdf2",
    missed="#f3a873",
)
SCHEMES = {"light": LIGHT, "dark": DARK}
