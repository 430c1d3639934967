"""Findings of one player: page, pictures, print, data."""

from datetime import date
from functools import cache

import vl_convert
from starlette.responses import JSONResponse, Response

from hoopwright.actions import people
from hoopwright.actions.links import player_links
from hoopwright.actions.reports import NOTHING_YET, PlayerReading, read_player
from hoopwright.actions.trials import ideas_of_findings
from hoopwright.chart.findings import ConditionReading, Findings
from hoopwright.court.standards import ball, rule_book
from hoopwright.errors import BadInput, NotFound
from hoopwright.records import Player, ShotSet
from hoopwright.reports.colours import LIGHT, Scheme
from hoopwright.reports.data import findings_data
from hoopwright.reports.facts import facts_of
from hoopwright.reports.figures import Figure, figures_of, specification, svg
from hoopwright.reports.landing_map import Equipment
from hoopwright.reports.link_facts import LinkFacts, link_facts, trial_name
from hoopwright.reports.page import HOW_TO_READ, findings_pdf
from hoopwright.web.rendering import said_day
from hoopwright.web.schemes import scheme_of
from hoopwright.web.visit import Visit


def choose(visit: Visit) -> Response:
    """Choose whose findings to read."""
    return visit.page("findings_choose.html", players=people.list_players(visit.session))


def findings(visit: Visit) -> Response:
    """Show the findings, as a page or as data."""
    reading = read_player(visit.session, visit.id("player"))
    if visit.wants_json:
        return JSONResponse(findings_data(_needed(reading)))
    found = reading.findings
    pictures = [_figures(reading, one) for one in found.conditions] if found else []
    return visit.page(
        "findings.html",
        player=reading.chart.player,
        facts=facts_of(found) if found else None,
        pictures=pictures,
        links=_links(visit, reading),
        trial_name=trial_name,
        tried={one.question.change for one in ideas_of_findings(found)} if found else set(),
        how_to_read=HOW_TO_READ,
    )


def _links(visit: Visit, reading: PlayerReading) -> LinkFacts | None:
    """Return what goes with what in the player's filmed shots; None where none was filmed."""
    shots = (shot for one in reading.chart.sets for shot in one.shots)
    if not any(shot.release is not None for shot in shots):
        return None
    return link_facts(player_links(visit.session, reading.chart.player.id))


def pdf(visit: Visit) -> Response:
    """Return the findings for print."""
    reading = read_player(visit.session, visit.id("player"))
    player = reading.chart.player
    made = findings_pdf(
        _needed(reading),
        reading.chart.sets,
        day=said_day(date.today()),
        invented=player.invented,
        equipment=_equipment(player),
        paper="us-letter" if visit.request.query_params.get("paper") == "letter" else "a4",
    )
    shown_as = {"content-disposition": f'inline; filename="findings-{player.id}.pdf"'}
    return Response(made, media_type="application/pdf", headers=shown_as)


def picture(visit: Visit) -> Response:
    """Return one figure as a still picture."""
    scheme = scheme_of(visit)
    return Response(svg(_figure(visit, scheme).chart, scheme), media_type="image/svg+xml")


def interactive(visit: Visit) -> Response:
    """Return one figure as a specification, for the interactive picture."""
    scheme = scheme_of(visit)
    return JSONResponse(specification(_figure(visit, scheme).chart, scheme))


def _needed(reading: PlayerReading) -> Findings:
    if reading.findings is None:
        raise BadInput(NOTHING_YET)
    return reading.findings


def _figure(visit: Visit, scheme: Scheme) -> Figure:
    """Find the figure an address means."""
    reading = read_player(visit.session, visit.id("player"))
    conditions = _needed(reading).conditions
    place = visit.request.path_params["condition"]
    if place >= len(conditions):
        raise NotFound("There is no such condition in these findings.")
    for figure in _figures(reading, conditions[place], scheme):
        if figure.name == visit.request.path_params["figure"]:
            return figure
    raise NotFound("There is no such picture in these findings.")


def _figures(
    reading: PlayerReading, one: ConditionReading, scheme: Scheme = LIGHT
) -> tuple[Figure, ...]:
    sets: list[ShotSet] = [s for s in reading.chart.sets if s.condition == one.condition]
    equipment = _equipment(reading.chart.player)
    return figures_of(one, sets, equipment=equipment, scheme=scheme)


def _equipment(player: Player) -> Equipment:
    book = rule_book(player.rules)
    return Equipment(
        ring_radius=book.ring.radius, ball_radius=ball(player.ball_size, rules=book.key).radius
    )


def script(visit: Visit) -> Response:
    """Return the drawing library, from its Python package: no outside address is loaded."""
    return Response(
        drawing_library(),
        media_type="text/javascript",
        headers={"cache-control": "max-age=86400"},
    )


@cache
def drawing_library() -> str:
    """Return the drawing library as one script; made once, it takes a second."""
    # its stub calls the snippet needed, but without one it gives the plain library
    return str(vl_convert.javascript_bundle(vl_version="6.4"))  # type: ignore[call-arg]
