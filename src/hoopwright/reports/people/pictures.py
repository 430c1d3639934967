"""The pictures of a report by name; each is one of the drawings the pages have already."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

from hoopwright.chart.findings import ConditionReading
from hoopwright.errors import NotFound
from hoopwright.reports.colours import LIGHT, Scheme
from hoopwright.reports.figures import Figure, figures_of, landing_figure
from hoopwright.reports.game_figures import ratio_figure
from hoopwright.reports.landing_map import Equipment
from hoopwright.reports.people.material import Material
from hoopwright.reports.people.parts import Reader
from hoopwright.reports.progress_figures import progress_figure
from hoopwright.reports.trial_figures import verdict_figure

LANDING, PROGRESS, RATIOS = "landing", "progress", "ratios"
_PLAIN_NOTE = (
    "The ring from above, as you shoot at it. Dark oval: half of the shots. Pale oval: 19 of 20. "
    "Dashed: the ball where the middle of the shots is."
)


def one_picture(material: Material) -> tuple[str, ...]:
    """Return the one picture of the player's page: where the shots land, where that is known."""
    habit = material.habit
    if habit is None:
        return ()
    tally = habit.tally
    seen = tally.short + tally.long + tally.left + tally.right + tally.points
    return (LANDING,) if seen else ()


def progress_pictures(material: Material, *, most: int | None = None) -> tuple[str, ...]:
    """Return the pictures of places with tests of more than one day, most tested first."""
    places = [
        (len(line.points), f"{PROGRESS}-{number}")
        for number, line in enumerate(material.progress)
        if len({point.day for point in line.points}) > 1
    ]
    named = tuple(name for _, name in sorted(places, key=lambda one: -one[0]))
    return named if most is None else named[:most]


def condition_pictures(number: int) -> tuple[str, ...]:
    """Return the pictures of one condition of the findings."""
    return tuple(f"condition-{number}-{place}" for place in range(4))


def picture(
    material: Material, name: str, *, equipment: Equipment, scheme: Scheme = LIGHT,
    reader: Reader = Reader.COACH,
) -> Figure:  # fmt: skip
    """Return one picture of a player's reports.

    Parameters
    ----------
    material
        What is drawn from.
    name
        As a section has it.
    equipment
        Ring and ball to draw to scale.
    scheme
        The colours.
    reader
        Who looks at it; all but the coach get a plain note.

    Raises
    ------
    NotFound
        There is no such picture of this player.
    """
    drawn = _drawings(material, equipment, scheme).get(name)
    if drawn is None:
        raise NotFound("There is no such picture in this report.")
    figure = replace(drawn(), name=name)
    if name == LANDING:
        return replace(figure, title="Where your shots come down", note=_PLAIN_NOTE)
    return figure if reader is Reader.COACH else replace(figure, note=_PROGRESS_NOTE)


_PROGRESS_NOTE = (
    "The line is the level, the dark band its likely range (8 chances in 10). Each mark is one "
    "test. One test is mostly luck, so read the band."
)


def _drawings(
    material: Material, equipment: Equipment, scheme: Scheme
) -> Mapping[str, Callable[[], Figure]]:
    """Return what draws each picture, so that only the one asked for is drawn."""
    found: dict[str, Callable[[], Figure]] = {}
    habit = material.habit
    if habit is not None:
        sets = [one for one in material.sets if one.condition == habit.condition]
        found[LANDING] = partial(landing_figure, habit, sets, equipment=equipment, scheme=scheme)
    for number, line in enumerate(material.progress):
        if line.points:
            name = f"{PROGRESS}-{number}"
            found[name] = partial(progress_figure, line, name=name, scheme=scheme)
    for number, one in enumerate(material.trials):
        if one.verdict is not None:
            found[f"trial-{number}"] = partial(
                verdict_figure, one.plan.question, one.verdict, scheme=scheme
            )
    if material.ratios:
        found[RATIOS] = partial(ratio_figure, material.ratios, scheme=scheme)
    conditions = material.findings.conditions if material.findings is not None else ()
    for number, reading in enumerate(conditions):
        for place, name in enumerate(condition_pictures(number)):
            found[name] = partial(
                _of_condition, material, reading, place, equipment=equipment, scheme=scheme
            )
    return found


def _of_condition(
    material: Material,
    reading: ConditionReading,
    place: int,
    *,
    equipment: Equipment,
    scheme: Scheme,
) -> Figure:
    sets = [one for one in material.sets if one.condition == reading.condition]
    return figures_of(reading, sets, equipment=equipment, scheme=scheme)[place]
