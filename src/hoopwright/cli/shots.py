"""``fly`` and ``ring``: one shot by its release, or as it comes down to the ring."""

from typing import Annotated

import typer

from hoopwright.actions.one_shot import equipment, follow, meet_ring
from hoopwright.cli import options
from hoopwright.cli.options import plain
from hoopwright.cli.shot_views import fly_json, fly_words, ring_json, ring_words
from hoopwright.cli.show import as_json, two_columns
from hoopwright.court.frame import spot_at
from hoopwright.flight.air import Air
from hoopwright.flight.arc import Release
from hoopwright.units import centimetres, degrees, turns_per_second

#: 0 °C [K]
_FREEZING = 273.15


def _air(no_air: bool, *, altitude: float, temperature: float) -> Air:
    plain(altitude, "--altitude", low=-500, high=5000)
    plain(temperature, "--temperature", low=-40, high=55)
    return Air.none() if no_air else Air.at(altitude, temperature + _FREEZING)


def _maybe(entry_speed: float | None) -> float | None:
    return None if entry_speed is None else plain(entry_speed, "--entry-speed", low=1, high=20)


def fly(
    distance: Annotated[
        float, typer.Option("--distance", help="Floor distance, release to ring centre, in metres.")
    ],
    release_height: Annotated[
        float, typer.Option("--release-height", help="Ball centre above the floor, in metres.")
    ],
    speed: Annotated[float, typer.Option("--speed", help="Ball speed at release, in m/s.")],
    angle: Annotated[
        float, typer.Option("--angle", help="Release angle above horizontal, in degrees.")
    ],
    spin: Annotated[float, typer.Option("--spin", help="Backspin, in turns per second.")] = 2.5,
    direction: Annotated[
        float, typer.Option("--direction", help="+ right of the line to ring centre, in degrees.")
    ] = 0.0,
    bearing: options.Bearing = 0.0,
    ball: options.BallSize = 7,
    ring_height: options.RingHeight = None,
    rules: options.Rules = "fiba",
    no_air: Annotated[bool, typer.Option("--no-air", help="Gravity alone.")] = False,
    altitude: Annotated[
        float, typer.Option("--altitude", help="Of the hall above sea level, in metres.")
    ] = 0.0,
    temperature: Annotated[
        float, typer.Option("--temperature", help="Of the air in the hall, in °C.")
    ] = 20.0,
    json: options.Json = False,
) -> None:
    """Follow one shot from the hand to the ring: where it comes down, how steeply, whether in.

    hoopwright fly --distance 4.191 --release-height 2.134 --speed 7.3 --angle 52 --spin 3
    """
    gear = equipment(ball, rules=rules, ring_height=ring_height)
    turn = degrees(plain(bearing, "--bearing", low=-180, high=180))
    spot_at(distance, turn, rules=gear.book)
    release = Release(
        speed=speed,
        angle=degrees(angle),
        direction=degrees(plain(direction, "--direction", low=-90, high=90)),
        height=release_height,
        spin=turns_per_second(plain(spin, "--spin", low=-20, high=20)),
    )
    air = _air(no_air, altitude=altitude, temperature=temperature)
    shot = follow(release, gear, distance=distance, bearing=turn, air=air)
    if json:
        as_json(fly_json(shot))
    else:
        two_columns(fly_words(shot))


def ring(
    along: Annotated[
        float,
        typer.Option(
            "--along-cm",
            help="Where the ball's centre comes down: + long, - short of centre, in cm.",
        ),
    ],
    across: Annotated[float, typer.Option("--across-cm", help="+ right, - left of centre, in cm.")],
    entry_angle: Annotated[
        float, typer.Option("--entry-angle", help="Below horizontal at the ring plane, in degrees.")
    ],
    entry_speed: Annotated[
        float | None,
        typer.Option(
            "--entry-speed",
            help="At the ring plane, in m/s; free throw to long three if not given.",
        ),
    ] = None,
    bearing: options.Bearing = 0.0,
    ball: options.BallSize = 7,
    ring_height: options.RingHeight = None,
    rules: options.Rules = "fiba",
    json: options.Json = False,
) -> None:
    """Tell what ring and board do with a shot that comes down at a place: chance to go in, touches.

    The chance is over what is uncertain about ball, ring, board and backspin, not over the place.

    hoopwright ring --along-cm 12 --across-cm -6 --entry-angle 44
    """
    gear = equipment(ball, rules=rules, ring_height=ring_height)
    shot = meet_ring(
        centimetres(plain(along, "--along-cm", low=-300, high=300)),
        centimetres(plain(across, "--across-cm", low=-300, high=300)),
        entry_angle=degrees(plain(entry_angle, "--entry-angle", low=1, high=90)),
        entry_speed=_maybe(entry_speed),
        bearing=degrees(plain(bearing, "--bearing", low=-105, high=105)),
        gear=gear,
    )
    if json:
        as_json(ring_json(shot))
    else:
        two_columns(ring_words(shot))
