"""Progress through cold tests: one line for each place, and changes announced beforehand."""

from datetime import date
from uuid import UUID

from starlette.responses import JSONResponse, Response

from hoopwright.actions import games
from hoopwright.actions.games import Announced
from hoopwright.actions.progress import progress_of
from hoopwright.errors import BadInput, NotFound
from hoopwright.reports.colours import LIGHT, SCHEMES, Scheme
from hoopwright.reports.figures import Figure, specification, svg
from hoopwright.reports.game_data import progress_data
from hoopwright.reports.progress_facts import HOW_TO_READ, line_facts
from hoopwright.reports.progress_figures import progress_figure
from hoopwright.transfer.nouns import AnnouncedChange
from hoopwright.transfer.progress import PlaceLine
from hoopwright.web.pages.practice import due_now
from hoopwright.web.visit import WHO, Visit

#: weeks a dip is announced for where nobody says; common practice, no source
USUAL_WEEKS = 4


def shown(visit: Visit) -> Response:
    """Show the progress, as a page or as data."""
    player_id = visit.id("player")
    reading = progress_of(visit.session, player_id)
    lines = reading.progress.lines if reading.progress else ()
    if visit.wants_json:
        if reading.progress is None:
            raise BadInput("There are no cold tests yet; take one at the start of a visit.")
        return JSONResponse({"player": reading.player.name} | progress_data(reading.progress))
    return visit.page(
        "progress.html",
        player=reading.player,
        lines=[
            (number, line_facts(line), progress_figure(line, name="line") if line.points else None)
            for number, line in enumerate(lines)
        ],
        due=[one for one in due_now(visit) if one.player.id == player_id],
        announced=games.announced_changes(visit.session, player_id),
        how_to_read=HOW_TO_READ,
        usual_weeks=USUAL_WEEKS,
        today=date.today(),
    )


def picture(visit: Visit) -> Response:
    """Return one place's line as a still picture."""
    scheme = _scheme(visit)
    return Response(svg(_figure(visit, scheme).chart, scheme), media_type="image/svg+xml")


def interactive(visit: Visit) -> Response:
    """Return one place's line as a specification, for the interactive picture."""
    scheme = _scheme(visit)
    return JSONResponse(specification(_figure(visit, scheme).chart, scheme))


def announce(visit: Visit) -> Response:
    """Say beforehand that a change will cost makes for a while."""
    fields, player_id = visit.fields, visit.id("player")
    name, day = fields.text("name"), fields.day("day")
    weeks = fields.whole("weeks", "The weeks", default=USUAL_WEEKS)
    change_id = fields.identity("id")
    plain = AnnouncedChange(name=name, day=day, dip_days=0)
    change = fields.tried(
        "weeks", lambda: AnnouncedChange(name=name, day=day, dip_days=7 * weeks), instead=plain
    )
    fields.check()
    games.announce_change(
        visit.session, Announced(id=change_id, player_id=player_id, change=change), who=WHO
    )
    return visit.go("progress", player=player_id)


def withdraw(visit: Visit) -> Response:
    """Take an announcement back; the log of changes keeps it."""
    change_id: UUID = visit.id("change")
    gone = games.withdraw_change(visit.session, change_id, who=WHO)
    return visit.go("progress", player=gone.player_id)


def _scheme(visit: Visit) -> Scheme:
    return SCHEMES.get(visit.request.query_params.get("colours", ""), LIGHT)


def _figure(visit: Visit, scheme: Scheme) -> Figure:
    return progress_figure(_line(visit), name="line", scheme=scheme)


def _line(visit: Visit) -> PlaceLine:
    progress = progress_of(visit.session, visit.id("player")).progress
    place: int = visit.request.path_params["place"]
    if progress is None or place >= len(progress.lines) or not progress.lines[place].points:
        raise NotFound("There is no such line; look at the progress page.")
    return progress.lines[place]
