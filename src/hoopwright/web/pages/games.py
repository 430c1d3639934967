"""Games: whose, which, and what was shot in them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID, uuid4

from starlette.responses import Response

from hoopwright.actions import games, people
from hoopwright.errors import BadInput
from hoopwright.records import Player
from hoopwright.transfer.nouns import Game, GameLine, ShotType
from hoopwright.web.forms import Fields
from hoopwright.web.visit import WHO, Visit

#: rows of the form that are free, beside those filled in already
FREE_ROWS = 5
#: most rows a form is read for: every kind of shot, contested, open and not noted
MOST_ROWS = 3 * len(ShotType)
#: what a first game's rows begin with, as most score sheets count
USUAL_KINDS = (ShotType.FREE_THROW, ShotType.TWO, ShotType.THREE)
CONTESTED = {"": None, "contested": True, "open": False}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of the form of a game, as it is filled in at first."""

    #: id of the line it becomes
    line: UUID
    kind: str = ""
    contested: str = ""
    attempts: int | None = None
    made: int | None = None
    #: True where the line is stored
    stored: bool = False


def choose(visit: Visit) -> Response:
    """Choose whose games to see."""
    return visit.page("games_choose.html", players=people.list_players(visit.session))


def new_game(visit: Visit) -> Response:
    """Show the form of a new game, with the kinds of shot of the player's last one."""
    who = people.get_player(visit.session, visit.id("player"))
    before = games.list_games(visit.session, who.id)
    last = [line.kind for line in in_order(before[-1].lines)] if before else []
    there = {kind for kind, _ in last}
    kinds = last + [(one, None) for one in USUAL_KINDS if one not in there]
    rows = [Row(line=uuid4(), kind=kind.value, contested=_said(noted)) for kind, noted in kinds]
    return _form(visit, who, None, rows)


def add_game(visit: Visit) -> Response:
    """Add a game with the player's lines."""
    who = people.get_player(visit.session, visit.id("player"))
    fields = visit.fields
    bare = Game(id=fields.identity("id"), day=fields.day("day"), opponent=fields.text("opponent"))
    lines = _typed_lines(fields, who, bare)
    fields.check()
    if not lines:
        raise BadInput(
            "No attempts are entered; fill in one row at least.", field="attempts-0"
        )  # fmt: skip
    games.add_game(
        visit.session,
        Game(id=bare.id, day=bare.day, opponent=bare.opponent, lines=tuple(lines)),
        who=WHO,
    )
    return visit.go("games", player=who.id)


def game(visit: Visit) -> Response:
    """Show one game with a player's lines, to change them or add to them."""
    who = people.get_player(visit.session, visit.id("player"))
    found = games.get_game(visit.session, visit.id("game"))
    rows = [
        Row(
            line=line.id,
            kind=line.shot_type.value,
            contested=_said(line.contested),
            attempts=line.attempts,
            made=line.made,
            stored=True,
        )
        for line in _own(found, who)
    ]
    return _form(visit, who, found, rows)


def save_game(visit: Visit) -> Response:
    """Store a game's day, opponent and the player's lines anew."""
    who = people.get_player(visit.session, visit.id("player"))
    before = games.get_game(visit.session, visit.id("game"))
    fields = visit.fields
    bare = replace(before, day=fields.day("day"), opponent=fields.text("opponent"))
    lines = _typed_lines(fields, who, bare)
    fields.check()
    known = {line.id for line in _own(before, who)}
    games.change_game(visit.session, replace(bare, lines=()), who=WHO)
    for line in lines:
        if line.id in known:
            games.change_line(visit.session, line, who=WHO)
    new = [line for line in lines if line.id not in known]
    games.record_lines(visit.session, bare.id, new, who=WHO)
    return visit.go("games", player=who.id)


def remove_line(visit: Visit) -> Response:
    """Take one line out of a game."""
    gone = games.remove_line(visit.session, visit.id("line"), who=WHO)
    return visit.go("game", player=gone.player_id, game=gone.game_id)


def remove_game(visit: Visit) -> Response:
    """Remove a game with the lines of all players."""
    games.remove_game(visit.session, visit.id("game"), who=WHO)
    return visit.go("games", player=visit.id("player"))


def _own(game: Game, who: Player) -> list[GameLine]:
    return in_order(line for line in game.lines if line.player_id == who.id)


def in_order(lines: Iterable[GameLine]) -> list[GameLine]:
    """Return lines as kinds of shot are listed everywhere: contested ones before open ones."""
    kinds = list(ShotType)
    return sorted(
        lines,
        key=lambda one: (kinds.index(one.shot_type), [None, True, False].index(one.contested)),
    )


def _said(contested: bool | None) -> str:
    return next(word for word, noted in CONTESTED.items() if noted is contested)


def _form(visit: Visit, who: Player, found: Game | None, rows: Sequence[Row]) -> Response:
    others = people.list_players(visit.session)
    names = {one.id: one.name for one in others}
    ids = dict.fromkeys(line.player_id for line in found.lines) if found else {}
    typed = sum(name.startswith("line-") for name in visit.fields.typed)
    free = max(FREE_ROWS - len(rows), 2, typed - len(rows))
    return visit.page(
        "game_form.html",
        player=who,
        game=found,
        rows=[*rows, *(Row(line=uuid4()) for _ in range(free))][:MOST_ROWS],
        kinds=[("", "choose"), *((one.value, one.value) for one in ShotType)],
        noted=(("", "not noted"), ("contested", "contested"), ("open", "open")),
        here_too=[(one, names.get(one, "")) for one in ids if one != who.id],
        others=[one for one in others if one.id not in ids and one.id != who.id],
        today=date.today().isoformat(),
    )


def _typed_lines(fields: Fields, who: Player, game: Game) -> list[GameLine]:
    """Read the rows that have attempts or makes; each trouble stands in its row."""
    stored = {line.id for line in game.lines}
    lines: list[GameLine] = []
    for i in range(MOST_ROWS):
        if fields.text(f"attempts-{i}") or fields.text(f"made-{i}"):
            line = _typed_line(fields, i, who, game=game)
            if line is None:
                continue
            if line.id not in stored and any(one.kind == line.kind for one in lines):
                fields.refuse(
                    f"kind-{i}", "This kind of shot has a row already; put the two together."
                )
            lines.append(line)
    return lines


def _typed_line(fields: Fields, i: int, who: Player, *, game: Game) -> GameLine | None:
    kind = fields.needed_choice(f"kind-{i}", ShotType, "Choose the kind of shot of this row.")
    attempts = fields.whole(f"attempts-{i}", "Attempts")
    made = fields.whole(f"made-{i}", "Made")
    if {f"{name}-{i}" for name in ("kind", "attempts", "made")} & fields.troubles.keys():
        return None

    def line() -> GameLine | None:
        return GameLine(
            id=fields.identity(f"line-{i}"),
            player_id=who.id,
            game_id=game.id,
            day=game.day,
            opponent=game.opponent,
            shot_type=kind,
            contested=CONTESTED.get(fields.text(f"contested-{i}")),
            attempts=attempts,
            made=made,
        )

    return fields.tried(f"made-{i}", line, instead=None)
