"""Numbers as plain words: rounding, signs, sides and ranges, the same on every page and print."""

from collections.abc import Sequence

from hoopwright.records import Estimate
from hoopwright.units import to_centimetres, to_degrees


def signed(value: float) -> str:
    """Return a whole number with its sign, a true minus, and no sign on 0."""
    whole = round(value)
    return f"{whole:+d}".replace("-", "−") if whole else "0"


def sided(metres: float, below: str, above: str) -> str:
    """Return e.g. ``6 cm short``; a distance that rounds to 0 has no side.

    Parameters
    ----------
    metres
        Signed distance. [m]
    below, above
        The words for values under and over 0.
    """
    whole = round(to_centimetres(metres))
    if whole == 0:
        return "0 cm"
    return f"{abs(whole)} cm {above if whole > 0 else below}"


def sided_range(estimate: Estimate, below: str, above: str) -> str:
    """Return the 80 % range in words, e.g. ``3 to 9 cm short`` or ``2 cm left to 5 cm right``."""
    low, high = round(to_centimetres(estimate.low80)), round(to_centimetres(estimate.high80))
    if low * high < 0:
        return f"{-low} cm {below} to {high} cm {above}"
    near, far = sorted((abs(low), abs(high)))
    side = above if low + high > 0 else below
    return f"{near} to {far} cm {side}" if far else "0 cm"


def centred(estimate: Estimate, below: str, above: str) -> str:
    """Return value and range, e.g. ``6 cm short (likely 3 to 9 cm short)``."""
    value = sided(estimate.value, below, above)
    return f"{value} (likely {sided_range(estimate, below, above)})"


def off_centre(estimate: Estimate, below: str, above: str) -> str:
    """Return an aim from ring centre, e.g. ``6 cm short of ring centre (likely 3 to 9 cm)``."""
    value = sided(estimate.value, below, above)
    where = "at ring centre" if value == "0 cm" else f"{value} of ring centre"
    likely = sided_range(estimate, below, above)
    one_side = likely.split()[-1] == value.split()[-1] and likely.count("cm") == 1
    return f"{where} (likely {likely.rsplit(' ', 1)[0] if one_side else likely})"


def width(estimate: Estimate) -> str:
    """Return a spread and its range, e.g. ``14 cm (likely 11 to 18)``."""
    value, low, high = (
        round(to_centimetres(v)) for v in (estimate.value, estimate.low80, estimate.high80)
    )
    return f"{value} cm (likely {low} to {high})"


def angle(estimate: Estimate) -> str:
    """Return an angle and its range, e.g. ``43.1° (likely 42.6 to 43.6)``."""
    value, low, high = (
        to_degrees(v) for v in (estimate.value, estimate.low80, estimate.high80)
    )  # fmt: skip
    return f"{value:.1f}° (likely {low:.1f} to {high:.1f})"


def speed(estimate: Estimate) -> str:
    """Return a small speed and its range, e.g. ``0.09 m/s (likely 0.07 to 0.11)``."""
    return f"{estimate.value:.2f} m/s (likely {estimate.low80:.2f} to {estimate.high80:.2f})"


def gain(estimate: Estimate) -> str:
    """Return makes per 100 with range, e.g. ``about +9 makes per 100 (likely +3 to +14)``."""
    low, high = signed(estimate.low80), signed(estimate.high80)
    return f"about {signed(estimate.value)} makes per 100 (likely {low} to {high})"


def of_ten(share: Estimate) -> str:
    """Return a share as a count of ten: ``about 6 of 10; could be 5 to 7``.

    Counts out of a fixed number read better than percentages. A range that rounds to one
    count is given in 100s instead, so that the range is never left out.
    """
    value, low, high = (round(10 * v) for v in (share.value, share.low95, share.high95))
    if low < high:
        return f"about {value} of 10; could be {low} to {high}"
    return f"about {value} of 10; could be {round(100 * share.low95)} to " + (
        f"{round(100 * share.high95)} of 100"
    )


def chances(share: float) -> str:
    """Return a probability as chances in ten, never claiming certainty."""
    tenths = round(10 * share)
    if tenths >= 10:
        return "more than 9 chances in 10"
    if tenths <= 0:
        return "less than 1 chance in 10"
    return f"about {tenths} chance{'s' if tenths > 1 else ''} in 10"


def about(count: int, noun: str) -> str:
    """Return an estimated count with its noun, rounded up to two digits: more would be pretence."""
    step = 10 ** max(len(str(count)) - 2, 0)
    return plural(-(-count // step) * step, noun)


def plural(count: int, one: str, many: str = "") -> str:
    """Return ``1 shot`` or ``2 shots``."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def listed(parts: Sequence[str]) -> str:
    """Return ``a``, ``a and b`` or ``a, b and c``."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"


def opened(sentence: str) -> str:
    """Return the sentence with a capital first letter."""
    return sentence[:1].upper() + sentence[1:]
