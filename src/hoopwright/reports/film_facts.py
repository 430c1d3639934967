"""What filmed shots say, in sentences: entry angle, release-angle band, speed control."""

from hoopwright.chart.findings import FilmMeasure, FilmReading
from hoopwright.records import Estimate
from hoopwright.reports import words
from hoopwright.units import to_degrees


def film_sentences(film: FilmReading | None) -> tuple[str, ...]:
    """Return what the filmed shots say by themselves; nothing where none was filmed."""
    if film is None:
        return ()
    return (
        _entry_sentence(film),
        _angle_sentence(film),
        _band_sentence(film),
        _speed_sentence(film),
    )


def _where(film: FilmReading) -> str:
    return f"at {film.spot.distance:.1f} m"


def _told(measure: FilmMeasure) -> Estimate | None:
    return measure.estimate if measure.told else None


def _entry_sentence(film: FilmReading) -> str:
    found = _told(film.entry_angle)
    if found is None:
        return _cannot_tell("the entry angle", film.entry_angle)
    shots = words.plural(film.spot_shots, "filmed shot")
    return f"Entry angle {_where(film)}: {words.angle(found)}, from {shots}."


def _angle_sentence(film: FilmReading) -> str:
    found = _told(film.angle)
    if found is None:
        return _cannot_tell("the usual release angle", film.angle)
    least = to_degrees(film.least_speed_angle)
    return (
        f"Release angle {_where(film)}: {words.angle(found)}. The least speed would do at "
        f"{least:.1f}°: for reference, not a target."
    )


def _band_sentence(film: FilmReading) -> str:
    found, usual = _told(film.angle_spread), _told(film.angle)
    if found is None:
        return _cannot_tell("the release-angle band", film.angle_spread)
    spread = f"spread {words.angle(found)}, the film's error taken off"
    if usual is None:
        return f"Release-angle band: {spread}."
    low, high = to_degrees(usual.value - found.value), to_degrees(usual.value + found.value)
    return f"Your release-angle band, two shots in three: {low:.1f} to {high:.1f}° ({spread})."


def _speed_sentence(film: FilmReading) -> str:
    found = film.speed_spread.estimate
    if film.suspect and found is not None:
        return (
            f"Release speeds differ by {words.speed(found)} from shot to shot, more than any "
            "practised shooter's: suspect the measurement first; check the scene's marks and the "
            "frame rate, then film again."
        )
    if not film.speed_spread.told or found is None:
        return _cannot_tell("speed control", film.speed_spread)
    return (
        f"Speed control: release speeds differ by {words.speed(found)} from shot to shot, the "
        "film's error taken off."
    )


def _cannot_tell(about: str, measure: FilmMeasure) -> str:
    if measure.shots_needed is None:
        return (
            f"Can't tell yet about {about}: this film's error hides it; film closer, steadier or "
            "with more frames a second."
        )
    return f"Can't tell yet about {about}: film {measure.shots_needed} more shots."
