"""What games say beside practice: the ratio, the next games, whether a change has transferred."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from sqlalchemy.orm import Session

from hoopwright.actions.games.practised import Practised, practised
from hoopwright.actions.people import players_of
from hoopwright.errors import BadInput
from hoopwright.records import Player
from hoopwright.store import games as stored
from hoopwright.store import people
from hoopwright.transfer.forecast import Expected, Forecast, forecast
from hoopwright.transfer.nouns import AnnouncedChange, Band, GameLine, ShotType
from hoopwright.transfer.ratio import Played, RatioReading, read_ratios
from hoopwright.transfer.transferred import Transfer, read_transfer

#: most games that are forecast at once: more than a season has
MOST_GAMES = 200
#: kinds of shot that are foreseen where no game was entered yet
_PLAIN = {
    Band.FREE_THROW: ShotType.FREE_THROW,
    Band.RIM: ShotType.RIM,
    Band.MID: ShotType.MID,
    Band.THREE: ShotType.THREE,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class GamesReading:
    """A player's practice and games, kind of shot by kind."""

    player: Player
    #: kinds with practice behind them; of each first all attempts, then contested and open ones
    rows: tuple[RatioReading, ...]
    #: kinds shot in games but not in practice lately: no ratio can be told
    not_practised: tuple[ShotType, ...]
    #: games that the player has lines in
    games: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastReading:
    """What the next games are likely to bring."""

    player: Player
    games: int
    #: attempts foreseen of each kind
    attempts: Mapping[ShotType, int]
    forecast: Forecast
    #: kinds left out, as nothing is known of them in practice
    left_out: tuple[ShotType, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TransferReading:
    """Whether a change shows in games."""

    player: Player
    change: AnnouncedChange
    #: None where there is nothing to compare yet
    transfer: Transfer | None
    #: one sentence: what is still missing; "" where there is an answer
    missing: str
    #: attempts while the change was new, which are not read
    while_new: int


def practice_to_games(session: Session, player_id: UUID) -> GamesReading:
    """Return a player's practice-to-game ratios, started from those of the coach's other players.

    Raises
    ------
    NotFound
        There is no such player.
    """
    player = people.get_player(session, player_id)
    players = players_of(session, player.coach)
    lines = stored.lines_of(session, [one.id for one in players])
    shares = {one.id: practised(session, one) for one in players}
    played = [p for one in players for p in _played(one.id, lines[one.id], shares[one.id])]
    own = lines[player_id]
    return GamesReading(
        player=player,
        rows=tuple(one for one in read_ratios(played) if one.played.player_id == player_id),
        not_practised=tuple(kind for kind in _kinds(own) if kind.band not in shares[player_id]),
        games=len({line.game_id for line in own}),
    )


def forecast_games(
    session: Session,
    player_id: UUID,
    *,
    games: int,
    attempts: Mapping[ShotType, int] | None = None,
) -> ForecastReading:
    """Return the makes and points to expect of a player's next games, with ranges.

    Parameters
    ----------
    games
        How many games.
    attempts
        Attempts of each kind over all of them; as many a game as so far where left out.

    Raises
    ------
    BadInput
        The number of games can't be right, or nothing is known of the kinds of shot asked for.
    NotFound
        There is no such player.
    """
    if not 1 <= games <= MOST_GAMES:
        raise BadInput(f"Between 1 and {MOST_GAMES} games can be foreseen.", field="games")
    reading = practice_to_games(session, player_id)
    wanted = attempts or _as_so_far(session, reading, games)
    if not wanted:
        raise BadInput(
            "No game was entered yet, so say how many attempts of each kind to foresee.",
            field="attempts",
        )
    shares = {one.played.shot_type: one.share for one in reading.rows if _is_whole(one)}
    known = {kind: n for kind, n in wanted.items() if kind in shares and n}
    if not known:
        raise BadInput(
            "Nothing is charted of those kinds of shot; chart some practice of them first.",
            field="attempts",
        )
    expected = [Expected(shot_type=k, attempts=n, share=shares[k]) for k, n in known.items()]
    return ForecastReading(
        player=reading.player,
        games=games,
        attempts=known,
        forecast=forecast(expected),
        left_out=tuple(kind for kind in wanted if kind not in shares),
    )


def has_transferred(
    session: Session, player_id: UUID, *, change: AnnouncedChange
) -> TransferReading:
    """Return whether a change shows in a player's games, like for like.

    Games while the change was new, until its announced dip is over, are not read.

    Raises
    ------
    NotFound
        There is no such player.
    """
    player = people.get_player(session, player_id)
    lines = stored.lines_of(session, [player_id])[player_id]
    before = [line for line in lines if line.day < change.day]
    after = [line for line in lines if line.day > change.until]
    new = [line for line in lines if change.day <= line.day <= change.until]
    transfer, missing = None, ""
    try:
        transfer = read_transfer(before, after)
    except BadInput as trouble:
        missing = trouble.message
    return TransferReading(
        player=player, change=change, transfer=transfer, missing=missing,
        while_new=sum(line.attempts for line in new),
    )  # fmt: skip


def _kinds(lines: Sequence[GameLine]) -> list[ShotType]:
    there = {line.shot_type for line in lines}
    return [kind for kind in ShotType if kind in there]


def _played(
    player_id: UUID, lines: Sequence[GameLine], shares: Mapping[Band, Practised]
) -> list[Played]:
    """Return what a player did in games, of each kind first all, then contested and open."""
    kinds = _kinds(lines)
    bands = {kind.band for kind in kinds}
    kinds += [kind for band, kind in _PLAIN.items() if band in shares and band not in bands]
    rows: list[tuple[ShotType, bool | None]] = [(kind, None) for kind in kinds]
    rows += [(line.shot_type, line.contested) for line in lines if line.contested is not None]
    return [
        _one_kind(player_id, kind, contested, lines=lines, share=shares[kind.band])
        for kind in ShotType
        for contested in (None, True, False)
        if (kind, contested) in rows and kind.band in shares
    ]


def _one_kind(
    player_id: UUID,
    kind: ShotType,
    contested: bool | None,
    *,
    lines: Sequence[GameLine],
    share: Practised,
) -> Played:
    these = [
        line for line in lines
        if line.shot_type is kind and (contested is None or line.contested is contested)
    ]  # fmt: skip
    return Played(
        player_id=player_id,
        shot_type=kind,
        contested=contested,
        practice=share.share,
        attempts=sum(line.attempts for line in these),
        made=sum(line.made for line in these),
    )


def _is_whole(one: RatioReading) -> bool:
    return one.played.contested is None


def _as_so_far(session: Session, reading: GamesReading, games: int) -> dict[ShotType, int]:
    """Return as many attempts a game as so far, of each kind."""
    if not reading.games:
        return {}
    taken = Counter[ShotType]()
    for line in stored.lines_of(session, [reading.player.id])[reading.player.id]:
        taken[line.shot_type] += line.attempts
    return {kind: max(round(n / reading.games * games), 1) for kind, n in taken.items()}
