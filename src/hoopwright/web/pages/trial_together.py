"""One question over all players of a coach, and what the players' feel knows of the shot."""

from collections.abc import Mapping
from uuid import UUID

from starlette.responses import JSONResponse, Response

from hoopwright.actions import feel, people, trials
from hoopwright.actions.trials import GroupQuestion, GroupReading
from hoopwright.errors import NotFound
from hoopwright.records import Estimate
from hoopwright.reports.colours import LIGHT, Scheme
from hoopwright.reports.feel_facts import ASK, feel_facts, often, trust_sentence
from hoopwright.reports.figures import Figure, specification, svg
from hoopwright.reports.pooled_facts import player_names, pooled_facts
from hoopwright.reports.trial_figures import many_figure
from hoopwright.reports.trial_words import measure_name
from hoopwright.reports.words import opened
from hoopwright.trials.feel import Trust
from hoopwright.trials.pooled import Pooled
from hoopwright.trials.written import measure_key
from hoopwright.web.schemes import scheme_of
from hoopwright.web.visit import Visit

_NOT_THERE = "No player of this coach has a trial of that question; choose one from the list."


def questions(visit: Visit) -> Response:
    """List the questions that a coach's players have trials of."""
    found = {coach: trials.group_questions(visit.session, coach) for coach in _coaches(visit)}
    return visit.page(
        "trials_together.html",
        coaches=[
            (coach, [(one, measure_key(one.question.measure), measure_name(one.question.measure))
                     for one in asked])
            for coach, asked in found.items()
        ],
    )  # fmt: skip


def together(visit: Visit) -> Response:
    """Show one question over all players of a coach."""
    reading = _reading(visit)
    names = _names(reading) if _wants_names(visit) else None
    pooled, question = reading.pooled, reading.question
    return visit.page(
        "trial_together.html",
        question=question,
        facts=pooled_facts(question, pooled, crude=reading.crude, names=names) if pooled else None,
        figure=_figure(reading, pooled, names) if pooled else None,
        query=visit.request.url.query,
        left_out=[(player.name if names is not None else "A player", why)
                  for player, why in reading.left_out],
        named=names is not None,
        asked=dict(visit.request.query_params),
    )  # fmt: skip


def together_picture(visit: Visit) -> Response:
    """Return the picture of one question over all players, still."""
    return Response(svg(_asked_figure(visit).chart, scheme_of(visit)), media_type="image/svg+xml")


def together_interactive(visit: Visit) -> Response:
    """Return that picture as a specification, for the interactive one."""
    return JSONResponse(specification(_asked_figure(visit).chart, scheme_of(visit)))


def player_feel(visit: Visit) -> Response:
    """Show what one player's feel knows."""
    reading = feel.feel_of(visit.session, visit.id("player"))
    return visit.page(
        "feel.html",
        player=reading.player,
        facts=feel_facts(reading.feel) if reading.feel else None,
        ask=ASK,
    )


def group_feel(visit: Visit) -> Response:
    """Show who should trust feel and who should look at film, coach by coach."""
    return visit.page(
        "feel_group.html",
        coaches=[(coach, _feel_lists(visit, coach)) for coach in _coaches(visit)],
        ask=ASK,
    )


#: one list of players: what they should go by, and each with what is known
_FeelList = tuple[str, list[tuple[UUID, str, str]]]


def _feel_lists(visit: Visit, coach: str) -> list[_FeelList]:
    reading = feel.group_feel(visit.session, coach)
    names = {one.player.id: one.player.name for one in reading.players}
    rows: dict[Trust, list[tuple[UUID, str, str]]] = {one: [] for one in Trust}
    if reading.together is not None:
        for one in reading.together.players:
            said = f"right {often(one.right)}; {one.shots} shots"
            rows[one.trust].append((one.player, names[one.player], said))
        for player, needed in reading.together.waiting:
            more = f"about {needed} more shots with a feel" if needed else "more shots with a feel"
            rows[Trust.NOT_YET].append((player, names[player], more))
    else:
        rows[Trust.NOT_YET] = [(one, name, "too few shots") for one, name in names.items()]
    return [(trust_sentence(trust), some) for trust, some in rows.items() if some]


def _coaches(visit: Visit) -> list[str]:
    """Return the coaches by name, players without one last."""
    found = {one.coach for one in people.list_players(visit.session)}
    return sorted(found, key=lambda name: (not name, name.casefold()))


def _reading(visit: Visit) -> GroupReading:
    asked = visit.request.query_params
    coach = asked.get("coach", "")
    one = _question(trials.group_questions(visit.session, coach), asked)
    return trials.pooled(
        visit.session, coach, change=one.question.change, measure=one.question.measure
    )


def _question(found: list[GroupQuestion], asked: Mapping[str, str]) -> GroupQuestion:
    for one in found:
        key = (one.question.change, measure_key(one.question.measure))
        if key == (asked.get("change"), asked.get("measure")):
            return one
    raise NotFound(_NOT_THERE)


def _wants_names(visit: Visit) -> bool:
    return visit.request.query_params.get("names") == "yes"


def _names(reading: GroupReading) -> dict[UUID, str]:
    return {one.id: one.name for one in reading.players}


def _asked_figure(visit: Visit) -> Figure:
    reading = _reading(visit)
    if reading.pooled is None:
        raise NotFound("Nobody's trial of this question can be read yet.")
    names = _names(reading) if _wants_names(visit) else None
    return _figure(reading, reading.pooled, names, scheme=scheme_of(visit))


def _figure(
    reading: GroupReading,
    pooled: Pooled,
    names: Mapping[UUID, str] | None,
    *,
    scheme: Scheme = LIGHT,
) -> Figure:
    rows: list[tuple[str, Estimate]] = [
        ("average", pooled.average),
        ("next player", pooled.next_player),
    ]
    rows += [
        (name, one.effect)
        for name, one in zip(player_names(pooled, names), pooled.players, strict=True)
    ]
    return many_figure(
        rows,
        name="together",
        title=f"{opened(reading.question.change)} over all players",
        measure=reading.question.measure,
        scheme=scheme,
    )
