"""Reports for people: the player, the family, the team coach, the coach, a group; page and file."""

from datetime import date
from functools import partial
from typing import NoReturn

from starlette.responses import JSONResponse, Response

from hoopwright.actions import people
from hoopwright.actions.load import cautions_for
from hoopwright.actions.reports_people import PersonalReport, report_of, report_of_group
from hoopwright.errors import NotFound
from hoopwright.reports.figures import svg
from hoopwright.reports.people.material import GROWN_UP
from hoopwright.reports.people.page import report_pdf
from hoopwright.reports.people.parts import Reader, Report
from hoopwright.reports.people.written import report_data
from hoopwright.web.pages.practice_plan import paper
from hoopwright.web.rendering import said_day
from hoopwright.web.schemes import scheme_of
from hoopwright.web.visit import Visit

#: each report of one player: name of its button, and what is in it
TOLD = {
    Reader.PLAYER: ("For the player", "One page: what goes well, one thing to work on, what next."),
    Reader.PARENT: ("For the family", "Progress, care and load, what was not measured."),
    Reader.TEAM: ("For the team coach", "Half a page: what changed, the cue, when to judge it."),
    Reader.COACH: ("For you, the coach", "Everything that is known."),
}


def choose(visit: Visit) -> Response:
    """Choose whose report, or which group's."""
    players = people.list_players(visit.session)
    coaches = sorted({one.coach for one in players}, key=lambda name: (not name, name.casefold()))
    return visit.page("report_choose.html", players=players, coaches=coaches)


def of_player(visit: Visit) -> Response:
    """List the reports of one player."""
    player = people.get_player(visit.session, visit.id("player"))
    age = cautions_for(visit.session, player.id, date.today()).age
    minor = age is None or age < GROWN_UP
    told = {key: said for key, said in TOLD.items() if minor or key is not Reader.PARENT}
    return visit.page("report_list.html", player=player, told=told, minor=minor)


def shown(visit: Visit) -> Response:
    """Show one report of a player, as a page or as data."""
    found = _report(visit)
    if visit.wants_json:
        return JSONResponse(report_data(found.report))
    names = [name for one in found.report.sections for name in one.pictures]
    return visit.page(
        "report.html",
        player=found.material.player,
        report=found.report,
        pictures={name: found.picture(name) for name in names},
        picture_of=partial(
            visit.path,
            "report_picture",
            player=found.material.player.id,
            reader=found.report.reader.value,
        ),
    )


def pdf(visit: Visit) -> Response:
    """Return one report of a player as a file to keep or send."""
    found = _report(visit)
    made = report_pdf(found.report, found.picture, day=said_day(date.today()), paper=paper(visit))
    return _file(made, f"report-{found.report.reader.value}-{found.material.player.id}.pdf")


def picture(visit: Visit) -> Response:
    """Return one picture of a report."""
    scheme = scheme_of(visit)
    drawn = _report(visit).picture(visit.request.path_params["picture"], scheme)
    return Response(svg(drawn.chart, scheme), media_type="image/svg+xml")


def group(visit: Visit) -> Response:
    """Show the report of a coach's players together, as a page or as data."""
    found = _group(visit)
    if visit.wants_json:
        return JSONResponse(report_data(found))
    return visit.page(
        "report_group.html",
        report=found,
        pictures={},
        coach=_coach(visit),
        named=_named(visit),
        query=visit.request.url.query,
    )


def group_pdf(visit: Visit) -> Response:
    """Return the report of a group as a file."""
    found = _group(visit)
    made = report_pdf(found, _no_picture, day=said_day(date.today()), paper=paper(visit))
    return _file(made, "report-group.pdf")


def _no_picture(name: str) -> NoReturn:
    raise NotFound(f"A group's report has no picture {name}.")


def _report(visit: Visit) -> PersonalReport:
    asked = visit.request.path_params["reader"]
    reader = next((one for one in TOLD if one.value == asked), None)
    if reader is None:
        raise NotFound("There is no such report; choose one from the player's list.")
    return report_of(visit.session, visit.id("player"), reader=reader, today=date.today())


def _group(visit: Visit) -> Report:
    return report_of_group(visit.session, _coach(visit), names=_named(visit), today=date.today())


def _coach(visit: Visit) -> str:
    return visit.request.query_params.get("coach", "")


def _named(visit: Visit) -> bool:
    return visit.request.query_params.get("names") == "yes"


def _file(made: bytes, name: str) -> Response:
    kept_as = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(made, media_type="application/pdf", headers=kept_as)
