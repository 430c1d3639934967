"""What a filmed shot says: each number in a coach's units with the range it is likely in."""

from dataclasses import dataclass

from hoopwright.film.results import FilmedShot
from hoopwright.reports.film_words import (
    Number,
    body_numbers,
    result_words,
    shot_numbers,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One number of a shot."""

    name: str
    #: value, unit and range, such as ``7.32 m/s (likely 7.25 to 7.39)``
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShotFacts:
    """One filmed shot in words."""

    #: such as ``Shot 3, 14.2 s``
    title: str
    #: made or missed and how sure
    result: str
    ball: tuple[Line, ...] = ()
    body: tuple[Line, ...] = ()
    #: what could not be measured, and why
    left_out: tuple[Line, ...] = ()
    doubts: tuple[str, ...] = ()
    #: True where findings may use it
    usable: bool


def shot_facts(shot: FilmedShot) -> ShotFacts:
    """Return one filmed shot in words."""
    return ShotFacts(
        title=f"Shot {shot.position + 1}, {shot.start:.1f} s",
        result=result_words(shot),
        ball=_lines(shot_numbers(shot)),
        body=_lines(body_numbers(shot.body)),
        left_out=tuple(Line(name=one.name.value, said=one.reason) for one in shot.left_out),
        doubts=tuple(d.message for d in shot.doubts),
        usable=shot.usable,
    )


def _lines(numbers: tuple[Number, ...]) -> tuple[Line, ...]:
    return tuple(Line(name=one.name, said=one.said) for one in numbers)
