"""The rows of a table → games, with the attempts of each player by kind of shot."""

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from uuid import UUID, uuid5

from hoopwright.actions.checks import checked_player
from hoopwright.actions.columns import GAMES
from hoopwright.actions.tables_in import cells as read
from hoopwright.actions.tables_in.cells import Cells
from hoopwright.actions.tables_in.dates import dates_of
from hoopwright.actions.tables_in.grid import read_grid, refuse
from hoopwright.actions.tables_in.rows import NO_ID, PlayerKey, known_player, player_key, words
from hoopwright.errors import BadInput
from hoopwright.records import Player
from hoopwright.store.people import name_key
from hoopwright.transfer.nouns import Game, GameLine, ShotType

#: ids are made from what a table says, so that the same table read twice gives the same ids
_IDS = UUID("5a2f1c1e-7e0b-4d55-9d0e-0d6b6b1f6a42")
#: other ways to write a shot type
_SAME = {
    "ft": ShotType.FREE_THROW, "free throws": ShotType.FREE_THROW, "foul shot": ShotType.FREE_THROW,
    "rim": ShotType.RIM, "lay up": ShotType.RIM, "layup": ShotType.RIM, "close": ShotType.RIM,
    "mid": ShotType.MID, "midrange": ShotType.MID,
    "2": ShotType.TWO, "2.0": ShotType.TWO, "twos": ShotType.TWO, "two pointer": ShotType.TWO,
    "3": ShotType.THREE, "3.0": ShotType.THREE, "threes": ShotType.THREE,
    "three pointer": ShotType.THREE,
}  # fmt: skip
_CONTESTED = {"contested": True, "open": False}


@dataclass(frozen=True, slots=True, kw_only=True)
class GamesRead:
    """What a table of games says."""

    #: those the table names, in the order they first appear
    players: tuple[Player, ...]
    #: in the order of their days
    games: tuple[Game, ...]
    #: what was passed over or assumed, as plain sentences
    notes: tuple[str, ...]

    @property
    def lines(self) -> tuple[GameLine, ...]:
        """All lines of all games."""
        return tuple(line for game in self.games for line in game.lines)


@dataclass(slots=True)
class _Found:
    """What the rows so far hold."""

    players: dict[PlayerKey, Player] = field(default_factory=dict)
    lines: list[GameLine] = field(default_factory=list)
    #: rows of one player, game and kind
    alike: Counter[UUID] = field(default_factory=Counter)
    empty: int = 0


def read_games(data: bytes, *, name: str, players: Sequence[Player] = ()) -> GamesRead:
    """Return the games that a CSV or spreadsheet file holds.

    Parameters
    ----------
    data
        The whole file: CSV in UTF-8, UTF-16 or Windows text, XLSX, XLS or ODS.
    name
        The file's name, for messages.
    players
        Known players; the others are given ids of their own.

    Raises
    ------
    BadTable
        The file can't be read; ``rows`` says what is wrong row by row.

    Notes
    -----
    The columns are described in ``docs/games.md``. Nothing is stored. The same file always gives
    the same ids.
    """
    grid = read_grid(data, name=name, asked=GAMES)
    dates = dates_of(grid)
    known = {player_key(player): player for player in players}
    found, troubles = _Found(), list(dates.troubles)
    for line in grid.lines:
        row = Cells(line)
        _read_row(row, dates.days.get(row.text("date")), known, found)
        troubles += row.troubles
    refuse(troubles, total=len(grid.lines), name=name)
    return GamesRead(
        players=tuple(found.players.values()),
        games=_games(found.lines),
        notes=(*grid.notes, *dates.notes, *_assumed(found)),
    )


def _read_row(
    row: Cells, day: date | None, known: Mapping[PlayerKey, Player], found: _Found
) -> None:
    player = _player(row, known, found)
    opponent = words(row, "opponent", "The opponent")
    label = words(row, "game", "The game")
    kind = row.read("shot_type", _shot_type, blank=None)
    if not row.has("shot_type"):
        row.add("shot_type", "The shot type is blank; write free throw, mid-range, three or so.")
    unsaid: bool | None = None
    contested = row.read("contested", _contested, blank=unsaid)
    made, attempts = _counts(row)
    if row.troubles or day is None or kind is None:
        return
    if attempts == 0 and made == 0:
        found.empty += 1
        return
    game_id = _game_id(day, opponent, label, player)
    alike = uuid5(game_id, json.dumps([str(player.id), kind, contested]))
    try:
        line = GameLine(
            id=uuid5(alike, str(found.alike[alike])),
            player_id=player.id,
            game_id=game_id,
            day=day,
            opponent=opponent,
            shot_type=kind,
            contested=contested,
            attempts=attempts,
            made=made,
        )
    except BadInput as trouble:
        row.add(trouble.field, trouble.message)
        return
    found.alike[alike] += 1
    found.lines.append(line)


def _player(row: Cells, known: Mapping[PlayerKey, Player], found: _Found) -> Player:
    name = words(row, "player", "The player's name")
    if not row.has("player"):
        row.add("player", "The player is blank; write a name or a pseudonym.")
    year = row.read("birth_year", read.whole, blank=None)
    key = name_key(name), year
    if key in found.players or not name:
        return found.players.get(key) or Player(id=NO_ID, name="?")
    player = known_player(known, name, year) or Player(
        id=uuid5(_IDS, json.dumps(["player", *key])), name=name, birth_year=year
    )
    try:
        checked_player(player)
    except BadInput as trouble:
        row.add(trouble.field if trouble.field == "birth_year" else "player", trouble.message)
        return player
    return found.players.setdefault(key, player)


def _shot_type(text: str) -> ShotType | None:
    word = " ".join(text.casefold().replace("-", " ").replace("_", " ").split())
    names = {one.value.replace("-", " "): one for one in ShotType}
    found = names.get(word) or _SAME.get(word)
    if found is None:
        raise BadInput(f"{text[:40]!r} is no shot type; write one of {', '.join(names.values())}.")
    return found


def _contested(text: str) -> bool | None:
    word = text.casefold()
    if word in _CONTESTED:
        return _CONTESTED[word]
    try:
        return read.yes(text)
    except BadInput:
        raise BadInput(
            f"{text[:40]!r} does not say whether a defender was near; "
            "write yes or no, or leave it blank."
        ) from None


def _counts(row: Cells) -> tuple[int, int]:
    """Return makes and attempts; a row without attempts is one shot, made or not."""
    if not row.has("made"):
        row.add("made", "Blank; write how many went in.")
        return 0, 0
    if row.has("attempts"):
        return row.read("made", read.whole, blank=0), row.read("attempts", read.whole, blank=0)
    return int(row.read("made", _one_made, blank=False)), 1


def _one_made(text: str) -> bool:
    try:
        return read.yes(text)
    except BadInput:
        raise BadInput(
            f"{text[:40]!r} is not yes or no; for a count, fill in the column attempts too."
        ) from None


def _game_id(day: date, opponent: str, label: str, player: Player) -> UUID:
    # against nobody in particular: it may have been any game that day, so it is the player's own
    whose = "" if opponent or label else str(player.id)
    return uuid5(_IDS, json.dumps(["game", day.isoformat(), name_key(opponent), label, whose]))


def _games(lines: Sequence[GameLine]) -> tuple[Game, ...]:
    games: dict[UUID, Game] = {}
    for line in sorted(lines, key=lambda one: one.day):
        game = games.get(line.game_id) or Game(
            id=line.game_id, day=line.day, opponent=line.opponent
        )
        # one opponent may be written in small or capital letters; the first way stands
        line = replace(line, opponent=game.opponent)
        games[game.id] = replace(game, lines=(*game.lines, line))
    return tuple(games.values())


def _assumed(found: _Found) -> list[str]:
    notes = []
    if found.empty:
        notes.append(f"Rows without any attempt were passed over: {found.empty}.")
    again = sum(count - 1 for count in found.alike.values())
    if again:
        notes.append(
            f"Rows that repeat a kind of shot within one game: {again}. They were added up; "
            "if one was pasted twice, take it out and send the file again."
        )
    return notes
