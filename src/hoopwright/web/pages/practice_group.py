"""A group at several baskets: who goes where when, on screen and for print.

What is asked for stands in the address, so that the sheet can be opened again and printed.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from uuid import UUID

from starlette.responses import Response

from hoopwright.actions import people, plans
from hoopwright.actions.plans import GroupPlan, GroupVisit
from hoopwright.errors import BadInput
from hoopwright.plans.group import Place
from hoopwright.records import Player
from hoopwright.reports.group_facts import group_facts
from hoopwright.reports.practice_page import group_pdf
from hoopwright.web.forms import Fields, troubles_of
from hoopwright.web.pages.practice_plan import paper, printed
from hoopwright.web.rendering import said_day
from hoopwright.web.visit import Visit

#: baskets and pairs of partners that the form has room for
BASKETS, PAIRS = 6, 6
TITLE = "Session sheet"


def shown(visit: Visit) -> Response:
    """Show the form of a group's sheet, and the sheet once players are chosen."""
    players = people.list_players(visit.session)
    typed = Fields(dict(visit.request.query_params))
    found, trouble = None, None
    if typed.typed:
        try:
            found = plans.group_sheet(visit.session, _typed_visit(typed, players))
        except BadInput as refusal:
            trouble = refusal
    asked = replace(
        visit, fields=typed, refusal=trouble, troubles=troubles_of(trouble) if trouble else {}
    )
    return asked.page(
        "practice_group.html",
        players=players,
        baskets=range(BASKETS),
        pairs=range(PAIRS),
        found=found,
        facts=group_facts(found.sheet, TITLE, drills=found.drills) if found else None,
        query=visit.request.url.query,
        today=date.today().isoformat(),
    )


def pdf(visit: Visit) -> Response:
    """Return a group's sheet for print: one page for the coach, one for each basket."""
    players = people.list_players(visit.session)
    asked = _typed_visit(Fields(dict(visit.request.query_params)), players)
    found: GroupPlan = plans.group_sheet(visit.session, asked)
    invented = {one.id for one in players if one.invented}
    made = group_pdf(
        found.sheet,
        f"{TITLE}, {said_day(asked.day)}",
        drills=found.drills,
        day=said_day(date.today()),
        invented=any(one in invented for one in asked.player_ids),
        paper=paper(visit),
    )
    return printed(made, "session-sheet.pdf")


def _typed_visit(fields: Fields, players: list[Player]) -> GroupVisit:
    chosen = tuple(one.id for one in players if fields.ticked(f"player-{one.id}"))
    if not chosen:
        fields.refuse("players", "Choose who is there; one player is enough.")
    places = tuple(place for i in range(BASKETS) if (place := _typed_place(fields, i)) is not None)
    if not places:
        fields.refuse("places", "Give at least one basket its ring height and its room.")
    minutes = fields.number("minutes", "The minutes", default=60.0)
    slot = fields.number("slot_minutes", "The minutes of a turn", default=6.0)
    per_slot = fields.whole("slot_shots", "The shots of a turn", default=15)
    if slot <= 0 or minutes < slot:
        fields.refuse("minutes", "The time must have room for one turn at least.")
    partners = _partners(fields, {str(one): one for one in chosen})
    day = fields.day("day")
    fields.check()
    return GroupVisit(
        day=day,
        player_ids=chosen,
        places=places,
        slots=int(minutes // slot),
        minutes_per_slot=slot,
        shots_per_slot=per_slot,
        partners=partners,
    )


def _typed_place(fields: Fields, i: int) -> Place | None:
    """Read one basket; a row with nothing in it is passed over."""
    height, room = fields.text(f"ring-{i}"), fields.text(f"room-{i}")
    if not height and not room:
        return None
    features = ["basket"]
    features += ["free-throw line", "three-point line"] if fields.ticked(f"lines-{i}") else []
    return Place(
        name=fields.text(f"basket-{i}") or f"Basket {i + 1}",
        ring_height=fields.needed_length(f"ring-{i}", "The ring height"),
        room=fields.whole(f"room-{i}", "The room", default=4),
        features=tuple(features),
    )


def _partners(fields: Fields, chosen: Mapping[str, UUID]) -> dict[UUID, UUID]:
    """Read the pairs that stay together, each both ways."""
    found: dict[UUID, UUID] = {}
    for i in range(PAIRS):
        one, other = (fields.text(f"{side}-{i}") for side in ("first", "second"))
        if not one and not other:
            continue
        if one not in chosen or other not in chosen or one == other:
            fields.refuse("partners", "Partners are two different players who are both there.")
            continue
        found |= {chosen[one]: chosen[other], chosen[other]: chosen[one]}
    return found
