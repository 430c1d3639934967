"""The rows of a table → charts, one per player."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from uuid import UUID, uuid5

from hoopwright.actions.columns import TAP_ERROR_CM
from hoopwright.actions.tables_in.cells import Cells
from hoopwright.actions.tables_in.dates import dates_of
from hoopwright.actions.tables_in.grid import Grid, check_size, read_grid, refuse
from hoopwright.actions.tables_in.rows import (
    NO_ID,
    PlayerKey,
    RowRead,
    RowReader,
    SetKey,
    player_key,
)
from hoopwright.errors import BadTable
from hoopwright.records import Chart, Miss, MissDetail, Player, Shot, ShotSet

#: ids are made from what a table says, so that the same table read twice gives the same ids
_IDS = UUID("310deaa3-83b0-40c5-8f38-f96de24cf680")
#: farther than any marked line from the ring: perhaps feet were meant [m]
_PERHAPS_FEET = 8.0
_SIDES = frozenset({Miss.LEFT, Miss.RIGHT})


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartsRead:
    """What a table says."""

    #: one per player, in the order they first appear
    charts: tuple[Chart, ...]
    #: what was passed over or assumed, as plain sentences
    notes: tuple[str, ...]


@dataclass(slots=True)
class _Group:
    """The rows of one set, gathered."""

    key: SetKey
    detail: MissDetail | None = None
    shots: list[Shot] = field(default_factory=list)
    sides_seen: bool = False


@dataclass(slots=True)
class _OnePlayer:
    player: Player
    groups: dict[SetKey, _Group] = field(default_factory=dict)


def read_charts(data: bytes, *, name: str, players: Sequence[Player] = ()) -> ChartsRead:
    """Return the charts that a CSV or spreadsheet file holds.

    Parameters
    ----------
    data
        The whole file: CSV in UTF-8, UTF-16 or Windows text, XLSX, XLS or ODS.
    name
        The file's name, for messages.
    players
        Known players: their hand, ball, ring and rules stand where the table says nothing.

    Raises
    ------
    BadTable
        The file can't be read; ``rows`` says what is wrong row by row.

    Notes
    -----
    The columns are described in ``docs/chart-csv.md``. Nothing is stored. The same file always
    gives the same ids.
    """
    grid = read_grid(data, name=name)
    dates = dates_of(grid)
    known = {player_key(player): player for player in players}
    found: dict[PlayerKey, _OnePlayer] = {}
    troubles = list(dates.troubles)
    reader = RowReader(dates.days, known)
    for line in grid.lines:
        cells = Cells(line)
        row = reader.read(cells)
        if row is not None:
            _gather(found, row, cells)
        troubles += cells.troubles
    refuse(troubles, total=len(grid.lines), name=name)
    charts = tuple(_chart(key, one) for key, one in found.items())
    notes = (*grid.notes, *dates.notes, *_assumed(grid, charts))
    return ChartsRead(charts=charts, notes=notes)


def read_chart_file(path: Path, *, players: Sequence[Player] = ()) -> ChartsRead:
    """Return the charts of a file on disk; a file that is too large is not even opened.

    Raises
    ------
    BadTable
        As :func:`read_charts`, or there is no such file.
    """
    try:
        check_size(path.stat().st_size, name=path.name)
        data = path.read_bytes()
    except OSError as trouble:
        raise BadTable(
            f"{path.name or path} can't be opened ({trouble.strerror}); check the path."
        ) from trouble
    return read_charts(data, name=path.name, players=players)


def _gather(found: dict[PlayerKey, _OnePlayer], row: RowRead, cells: Cells) -> None:
    about = row.about
    one = found.setdefault(about.said, _OnePlayer(about.player))
    group = one.groups.setdefault(about.key, _Group(about.key))
    if group.shots and about.detail != group.detail:
        cells.add("detail", "Differs within one set; use another number in the column set.")
    group.detail = about.detail
    group.sides_seen |= row.sides_seen
    group.shots.extend(row.shots)


def _chart(key: PlayerKey, one: _OnePlayer) -> Chart:
    owner = uuid5(_IDS, json.dumps(["player", *key]))
    groups = sorted(one.groups.values(), key=lambda g: g.key.day or date.min)
    richest = _richest(groups)
    player = _with_gear(one.player, groups)
    player = replace(player, id=owner) if player.id == NO_ID else player
    days = {_workout_id(owner, g.key.day): g.key.day for g in groups}
    places: dict[UUID, int] = {}
    sets = []
    for group in groups:
        workout = _workout_id(owner, group.key.day)
        place = places[workout] = places.get(workout, -1) + 1
        sets.append(_set(group, workout, position=place, player=player, richest=richest))
    known_days = tuple((one_id, day) for one_id, day in days.items() if day)
    year = known_days[-1][1].year if known_days else None
    return Chart(player=player, sets=tuple(sets), year=year, days=known_days)


def _with_gear(player: Player, groups: Sequence[_Group]) -> Player:
    """Give a player the store does not know the ball and ring of the latest set."""
    if player.id != NO_ID:
        return player
    last = groups[-1].key
    return replace(
        player,
        ball_size=last.ball_size or player.ball_size,
        ring_height=last.ring_height or player.ring_height,
    )


def _workout_id(owner: UUID, day: date | None) -> UUID:
    return uuid5(owner, day.isoformat() if day else "no day")


def _set(
    group: _Group, workout: UUID, *, position: int, player: Player, richest: MissDetail
) -> ShotSet:
    key = group.key
    set_id = _set_id(workout, key)
    return ShotSet(
        id=set_id,
        workout_id=workout,
        position=position,
        spot=key.spot,
        condition=key.condition,
        ball_size=key.ball_size or player.ball_size,
        ring_height=key.ring_height or player.ring_height,
        miss_detail=group.detail or _detail(group.shots, richest=richest),
        ordered=key.ordered,
        stops_on_makes=key.stops_on_makes,
        purpose=key.purpose,
        shots=tuple(_named(group.shots, set_id)),
    )


def _set_id(workout: UUID, key: SetKey) -> UUID:
    # what stays the same when rows are added below, or numbers are written another way
    said = [
        key.label, key.spot.name, round(key.spot.x, 2), round(key.spot.y, 2), key.condition,
        key.ball_size, key.ring_height, key.ordered, key.stops_on_makes,
    ]  # fmt: skip
    # only where said, so that older tables keep the ids they were stored under
    said += [key.purpose.value] * bool(key.purpose)
    return uuid5(workout, json.dumps(said))


def _named(shots: Iterable[Shot], set_id: UUID) -> Iterable[Shot]:
    for i, shot in enumerate(shots):
        miss = tuple(sorted(shot.miss, key=lambda way: way in _SIDES))
        given = shot.id if shot.id != NO_ID else uuid5(set_id, str(i))
        yield replace(shot, id=given, miss=miss)


def _richest(groups: Sequence[_Group]) -> MissDetail:
    """Return how finely one player's misses are noted at most, over the whole table."""
    ways = [shot.miss for group in groups for shot in group.shots]
    if any(len(miss) > 1 for miss in ways):
        return MissDetail.TWO
    if any(g.sides_seen for g in groups) or any(_SIDES.intersection(miss) for miss in ways):
        return MissDetail.ONE
    return MissDetail.ALONG


def _detail(shots: Sequence[Shot], *, richest: MissDetail) -> MissDetail:
    """Return how finely a set notes its misses, where the table does not say."""
    missed = [shot for shot in shots if not shot.made]
    plain = bool(missed) and not any(shot.miss for shot in missed)
    return MissDetail.NONE if plain else richest


def _assumed(grid: Grid, charts: Sequence[Chart]) -> Iterable[str]:
    """Say what was taken to be so, because no column says otherwise."""
    sets = [one for chart in charts for one in chart.sets]
    if "ball" not in grid.columns and "ring_height_m" not in grid.columns:
        gear = sorted({(s.ball_size, s.ring_height) for s in sets})
        said = ", ".join(f"ball size {ball} and ring at {ring:g} m" for ball, ring in gear)
        yield f"No column says which ball and ring; taken: {said}."
    if any(s.miss_detail is MissDetail.ALONG and s.made < len(s.shots) for s in sets):
        yield (
            "Some sets have short and long misses only, so left and right were taken as not "
            "looked at; write one in the column detail if they were."
        )
    points = any(shot.landing for s in sets for shot in s.shots)
    if points and "tap_error_cm" not in grid.columns:
        yield f"No column says how exact the points are; taken: {TAP_ERROR_CM:g} cm."
    far = max(s.spot.distance for s in sets)
    if "distance" in grid.columns and far > _PERHAPS_FEET:
        yield f"The farthest spot is {far:.1f} m out; if feet were meant, write metres."
