"""The band of words under a clip's pictures, so that nothing is written over what they show."""

import cv2
import numpy as np
from numpy.typing import NDArray

Pixels = NDArray[np.uint8]
Colour = tuple[int, int, int]

#: blue, green, red
WHITE: Colour = (255, 255, 255)
DARK: Colour = (36, 28, 20)
#: width of the phone screen that a clip must still be read on [px]
PHONE = 390.0
#: height of the letters [1/390 of the width]
TEXT = 14.0
#: room for a line, and at each edge, over the height of the letters
_STEP, _GAP = 1.35, 0.35


def band_height(lines: int, *, unit: float) -> int:
    """Return how high a band of lines is, an even number as films need it; 0 for none [px].

    Parameters
    ----------
    lines
        How many.
    unit
        What sizes are counted in [px].
    """
    if not lines:
        return 0
    size = _wanted(unit)
    return 2 * round(0.5 * (lines * _step(size) + 2 * _gap(size)))


def band(lines: tuple[str, ...], *, width: int, height: int, unit: float) -> Pixels:
    """Return a dark band with lines of text, uint8 [row, column, 3].

    Parameters
    ----------
    lines
        Any text; control characters are left out. A line that is too long is made smaller. An empty
        one keeps its place.
    width, height
        Of the band [px]; see ``band_height``.
    unit
        What sizes are counted in [px].
    """
    ground = np.empty((height, width, 3), np.uint8)
    ground[:] = DARK
    face, wanted = cv2.FontFace("sans"), _wanted(unit)
    for row, text in enumerate(_printable(line) for line in lines):
        if text:
            size = _fitting(ground, text, face, wanted)
            at = (_gap(wanted), _gap(wanted) + _step(wanted) * row + wanted)
            cv2.putText(ground, text, at, WHITE, face, size, 500)
    return ground


def _wanted(unit: float) -> int:
    return max(round(TEXT * unit), 8)


def _step(size: int) -> int:
    return round(_STEP * size)


def _gap(size: int) -> int:
    return round(_GAP * size)


def _printable(text: str) -> str:
    return "".join(c for c in text if c.isprintable()).strip()


def _fitting(ground: Pixels, text: str, face: cv2.FontFace, wanted: int) -> int:
    """Return the text size that is wanted, or the largest at which a line fits in [px]."""
    wide = _width(ground, text, face, wanted) + 2 * _gap(wanted)
    return max(min(wanted, int(wanted * ground.shape[1] / wide)), 6)


def _width(ground: Pixels, text: str, face: cv2.FontFace, size: int) -> int:
    box = cv2.getTextSize((ground.shape[1], ground.shape[0]), text, (0, 0), face, size, 500)
    return int(box[2])
