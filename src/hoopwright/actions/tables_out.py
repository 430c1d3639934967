"""Tables out: the same columns that are read, one row per shot."""

import io
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Literal
from uuid import UUID

import polars as pl
from sqlalchemy.orm import Session

from hoopwright.actions.columns import COLUMNS, defused
from hoopwright.actions.people import get_player, list_players
from hoopwright.actions.shots import list_workouts
from hoopwright.records import Player, Shot, ShotSet, Workout
from hoopwright.units import to_centimetres

#: digits kept of a centimetre: far below any measuring error, and free of rounding dust
_DIGITS = 9
#: columns of counts; the store knows every shot, so they are not written
_NOT_WRITTEN = ("distance", "bearing_deg", "attempts", "short", "long", "left", "right")
_TYPES: dict[str, type[pl.DataType]] = {
    "date": pl.Date,
    "x_m": pl.Float64,
    "y_m": pl.Float64,
    "along_cm": pl.Float64,
    "across_cm": pl.Float64,
    "tap_error_cm": pl.Float64,
    "tap_error_across_cm": pl.Float64,
    "feel": pl.Float64,
    "ring_height_m": pl.Float64,
    "player_height_m": pl.Float64,
    "set": pl.Int64,
    "ball": pl.Int64,
    "birth_year": pl.Int64,
}
_SCHEMA = {c: _TYPES.get(c, pl.String) for c in COLUMNS if c not in _NOT_WRITTEN}


def export_charts(
    session: Session, player_ids: Sequence[UUID] | None, *, kind: Literal["csv", "xlsx"]
) -> bytes:
    """Return the charts of some players as a file that :mod:`tables_in` reads.

    Texts that a spreadsheet would take for a formula get a quote mark before them, which is
    taken off again on the way in. Measured releases and notes of workouts are not in the table.

    Parameters
    ----------
    player_ids
        The players wanted; None for all.
    kind
        ``"csv"`` (UTF-8, commas) or ``"xlsx"``.

    Raises
    ------
    NotFound
        One of the players is not in the store.
    """
    players = (
        list_players(session)
        if player_ids is None
        else [get_player(session, one) for one in player_ids]
    )
    rows = [row for player in players for row in _rows(session, player)]
    table = pl.DataFrame(rows, schema=_SCHEMA, orient="row")
    return table.write_csv().encode() if kind == "csv" else _workbook(table)


def _workbook(table: pl.DataFrame) -> bytes:
    file = io.BytesIO()
    table.write_excel(
        file,
        worksheet="shots",
        dtype_formats={pl.Date: "yyyy-mm-dd", pl.Float64: "General", pl.Int64: "General"},
        freeze_panes=(1, 0),
        column_widths={"player": 160, "spot": 110, "condition": 160, "id": 260},
    )
    return file.getvalue()


def _rows(session: Session, player: Player) -> Iterator[tuple[object, ...]]:
    about = _player_cells(player)
    numbers: Counter[object] = Counter()
    for visit in list_workouts(session, player.id):
        for one in visit.sets:
            numbers[visit.day] += 1
            for shot in one.shots:
                yield _row(
                    about
                    | _set_cells(visit, one, numbers[visit.day])
                    | _shot_cells(shot)
                    | _landing_cells(shot)
                )


def _row(cells: dict[str, object]) -> tuple[object, ...]:
    values = (cells.get(column) for column in _SCHEMA)
    return tuple((defused(v) or None) if isinstance(v, str) else v for v in values)


def _player_cells(player: Player) -> dict[str, object]:
    return {
        "player": player.name,
        "birth_year": player.birth_year,
        "hand": player.hand.value,
        "player_height_m": player.height,
        "coach": player.coach,
        "invented": _yes(player.invented),
        "rules": player.rules,
    }


def _set_cells(visit: Workout, one: ShotSet, number: int) -> dict[str, object]:
    return {
        "date": visit.day,
        "set": number,
        "spot": one.spot.name,
        "x_m": one.spot.x,
        "y_m": one.spot.y,
        "condition": one.condition,
        "detail": one.miss_detail.value,
        "ordered": _yes(one.ordered),
        "stops_on_makes": _yes(one.stops_on_makes),
        "purpose": one.purpose.value,
        "ball": one.ball_size,
        "ring_height_m": one.ring_height,
    }


def _shot_cells(shot: Shot) -> dict[str, object]:
    return {
        "made": shot.half.value if shot.half else _yes(shot.made),
        "miss": "+".join(way.value for way in shot.miss),
        "feel": shot.feel,
        "id": str(shot.id),
    }


def _landing_cells(shot: Shot) -> dict[str, object]:
    if shot.landing is None:
        return {}
    values = {
        "along_cm": shot.landing.along,
        "across_cm": shot.landing.across,
        "tap_error_cm": shot.landing.along_sd,
        "tap_error_across_cm": shot.landing.across_sd,
    }
    return {column: round(to_centimetres(value), _DIGITS) for column, value in values.items()}


def _yes(value: bool) -> str:
    return "yes" if value else "no"
