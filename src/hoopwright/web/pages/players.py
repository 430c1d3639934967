"""Players: the list, one player, adding, changing, removing."""

from datetime import date

from starlette.responses import Response

from hoopwright.actions import load, people, reports, shots, trials
from hoopwright.court.standards import BALL_SIZES, rule_books
from hoopwright.records import Hand, Player
from hoopwright.web.forms import Fields
from hoopwright.web.visit import WHO, Visit


def home(visit: Visit) -> Response:
    """Go to the list of players."""
    return visit.go("players")


def players(visit: Visit) -> Response:
    """List all players by name."""
    return visit.page("players.html", players=people.list_players(visit.session))


def player(visit: Visit) -> Response:
    """Show one player and the workouts, newest first."""
    who = people.get_player(visit.session, visit.id("player"))
    workouts = shots.list_workouts(visit.session, who.id)
    return visit.page(
        "player.html",
        player=who,
        workouts=workouts[::-1],
        trials=trials.list_trials(visit.session, who.id),
        load=load.cautions_for(visit.session, who.id, date.today()),
    )


def new_player(visit: Visit) -> Response:
    """Show the form of a new player."""
    return _form(visit, None)


def add_player(visit: Visit) -> Response:
    """Add a player."""
    added = people.add_player(visit.session, _typed_player(visit.fields), who=WHO)
    return visit.go("player", player=added.id)


def change_player(visit: Visit) -> Response:
    """Show the form of a player."""
    return _form(visit, people.get_player(visit.session, visit.id("player")))


def save_player(visit: Visit) -> Response:
    """Store a player's fields anew."""
    before = people.get_player(visit.session, visit.id("player"))
    people.change_player(visit.session, _typed_player(visit.fields, before), who=WHO)
    return visit.go("player", player=before.id)


def ask_remove_player(visit: Visit) -> Response:
    """Ask before a player is removed."""
    return visit.page(
        "player_remove.html", player=people.get_player(visit.session, visit.id("player"))
    )


def remove_player(visit: Visit) -> Response:
    """Remove a player; for good where the family asks for it."""
    remove = people.forget_player if visit.fields.ticked("forget") else people.remove_player
    remove(visit.session, visit.id("player"), who=WHO)
    reports.forget_readings()
    return visit.go("players")


def _form(visit: Visit, before: Player | None) -> Response:
    return visit.page(
        "player_form.html",
        player=before,
        rule_books=rule_books(),
        ball_sizes=BALL_SIZES,
        this_year=date.today().year,
    )


def _typed_player(fields: Fields, before: Player | None = None) -> Player:
    typed = Player(
        id=before.id if before else fields.identity("id"),
        name=fields.text("name"),
        birth_year=fields.year("birth_year", "The year of birth"),
        hand=fields.choice("hand", Hand, Hand.RIGHT),
        height=fields.length("height", "The player's height"),
        ball_size=fields.whole("ball_size", "The ball size", default=7),
        ring_height=fields.needed_length("ring_height", "The ring height"),
        rules=fields.text("rules") or "fiba",
        coach=fields.text("coach"),
        invented=before.invented if before else False,
    )
    fields.check()
    return typed
