"""What games say: beside practice, in the next games, before and after a change; and tables."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from starlette.responses import JSONResponse, Response

from hoopwright.actions import games, people, trials
from hoopwright.actions.games import GamesReading, GamesReport, TransferReading
from hoopwright.errors import BadInput, NotFound
from hoopwright.reports.colours import LIGHT, SCHEMES
from hoopwright.reports.figures import specification, svg
from hoopwright.reports.game_data import forecast_data, ratio_data, transfer_data
from hoopwright.reports.game_facts import (
    LIKE_FOR_LIKE,
    forecast_sentences,
    ratio_facts,
    transfer_facts,
)
from hoopwright.reports.game_figures import ratio_figure
from hoopwright.reports.words import listed, plural
from hoopwright.transfer.nouns import AnnouncedChange, ShotType
from hoopwright.web.forms import Fields, troubles_of
from hoopwright.web.pages.games import in_order
from hoopwright.web.visit import WHO, Visit

#: games foreseen where nobody says how many
USUAL_GAMES = 5
#: the entry of the list of changes that means a day is typed
BY_DAY = "day"


def shown(visit: Visit) -> Response:
    """Show a player's games and what they say beside practice, as a page or as data."""
    reading = games.practice_to_games(visit.session, visit.id("player"))
    if visit.wants_json:
        rows = [ratio_data(one) for one in reading.rows]
        return JSONResponse({"player": reading.player.name, "kinds": rows})
    return visit.page(
        "games.html",
        player=reading.player,
        reading=reading,
        facts=[ratio_facts(one) for one in reading.rows],
        figure=ratio_figure(reading.rows) if reading.rows else None,
        games=[
            replace(one, lines=tuple(in_order(one.lines)))
            for one in games.list_games(visit.session, reading.player.id)[::-1]
        ],
    )


def picture(visit: Visit) -> Response:
    """Return practice beside games as a still picture."""
    scheme = SCHEMES.get(visit.request.query_params.get("colours", ""), LIGHT)
    chart = ratio_figure(_needed(visit).rows, scheme=scheme).chart
    return Response(svg(chart, scheme), media_type="image/svg+xml")


def interactive(visit: Visit) -> Response:
    """Return practice beside games as a specification, for the interactive picture."""
    scheme = SCHEMES.get(visit.request.query_params.get("colours", ""), LIGHT)
    chart = ratio_figure(_needed(visit).rows, scheme=scheme).chart
    return JSONResponse(specification(chart, scheme))


def _needed(visit: Visit) -> GamesReading:
    reading = games.practice_to_games(visit.session, visit.id("player"))
    if not reading.rows:
        raise NotFound("There is nothing to draw yet; chart some practice first.")
    return reading


def foresee(visit: Visit) -> Response:
    """Show what the next games are likely to bring; how many stands in the address."""
    player_id = visit.id("player")
    typed = Fields(dict(visit.request.query_params))
    found, trouble = None, None
    try:
        how_many = typed.whole("games", "The number of games", default=USUAL_GAMES)
        attempts = _typed_attempts(typed)
        typed.check()
        found = games.forecast_games(
            visit.session, player_id, games=how_many, attempts=attempts or None
        )
    except BadInput as refusal:
        trouble = refusal
    if visit.wants_json and found:
        return JSONResponse(forecast_data(found.forecast))
    # a page opened for the first time asks for nothing, so what is missing is no refusal of it
    asked = bool(typed.typed)
    return _asked(visit, typed, trouble if asked else None).page(
        "forecast.html",
        player=people.get_player(visit.session, player_id),
        missing=trouble.message if trouble and not asked else "",
        found=found,
        sentences=forecast_sentences(found.forecast) if found else (),
        kinds=[one.value for one in ShotType],
        usual=USUAL_GAMES,
    )


def _typed_attempts(typed: Fields) -> dict[ShotType, int]:
    """Read how many attempts of each kind are to come; a kind left blank is passed over."""
    found = {}
    for i, kind in enumerate(ShotType):
        name = f"attempts-{i}"
        if typed.text(name):
            count = typed.whole(name, "Attempts")
            if count < 0:
                typed.refuse(name, "Attempts can't be below 0; leave the kind blank.")
            found[kind] = count
    return {kind: count for kind, count in found.items() if count}


def transferred(visit: Visit) -> Response:
    """Show whether a change shows in games; which change stands in the address."""
    player_id = visit.id("player")
    typed = Fields(dict(visit.request.query_params))
    changes = _changes(visit)
    found, trouble = None, None
    if typed.typed:
        try:
            found = games.has_transferred(
                visit.session, player_id, change=_typed_change(typed, changes)
            )
        except BadInput as refusal:
            trouble = refusal
    if visit.wants_json and found and found.transfer:
        return JSONResponse(transfer_data(found.transfer))
    return _asked(visit, typed, trouble).page(
        "transferred.html",
        player=people.get_player(visit.session, player_id),
        changes=[(key, words) for key, words, _ in changes] + [(BY_DAY, "a day of its own")],
        found=found,
        facts=transfer_facts(found.transfer) if found and found.transfer else None,
        left_out=_left_out(found) if found else "",
        like_for_like=LIKE_FOR_LIKE,
        today=date.today().isoformat(),
    )


def _changes(visit: Visit) -> list[tuple[str, str, AnnouncedChange]]:
    """Return the changes whose day is known: announced ones and those of ended trials."""
    player_id = visit.id("player")
    found = [
        (str(one.id), f"{one.change.name}, announced for {one.change.day}", one.change)
        for one in games.announced_changes(visit.session, player_id)
    ]
    for view in trials.list_trials(visit.session, player_id):
        begun = [one.begun for one in view.blocks if one.begun is not None]
        if begun and view.next_block is None:
            last = max(one.done_at or one.begun_at for one in begun).date()
            name = view.trial.plan.question.change
            change = AnnouncedChange(name=name, day=last, dip_days=0)
            found.append((str(view.trial.id), f"{name}, trial ended {last}", change))
    return found


def _typed_change(
    typed: Fields, changes: Sequence[tuple[str, str, AnnouncedChange]]
) -> AnnouncedChange:
    chosen = typed.text("change") or BY_DAY
    for key, _, change in changes:
        if key == chosen:
            return change
    if chosen != BY_DAY:
        typed.refuse("change", "That change is not in the list any more; choose another.")
    if not typed.text("day"):
        typed.refuse("day", "Give the first day with the change, such as 2026-10-01.")
    weeks = typed.whole("weeks", "The weeks left out", default=0)
    day = typed.day("day")
    plain = AnnouncedChange(name="the change", day=day, dip_days=0)
    change = typed.tried("weeks", lambda: replace(plain, dip_days=7 * weeks), instead=plain)
    typed.check()
    return change


def _left_out(found: TransferReading) -> str:
    if not found.while_new:
        return ""
    count = plural(found.while_new, "attempt")
    return f"{count} while the change was new, to {found.change.until}, are not read."


def _asked(visit: Visit, typed: Fields, trouble: BadInput | None) -> Visit:
    """Return the visit with what its address asks for, as if it had been sent by a form."""
    troubles = troubles_of(trouble) if trouble else {}
    return replace(visit, fields=typed, refusal=trouble, troubles=troubles)


def table(visit: Visit) -> Response:
    """Show how games come in from a table; after a refusal, each bad row."""
    return visit.page("games_table.html", done=())


def bring_in(visit: Visit) -> Response:
    """Bring games in from a file; all of it or nothing."""
    name, content = visit.upload
    if not name:
        raise BadInput("No file was chosen; choose a CSV or XLSX file.", field="file")
    report = games.import_games(visit.session, content, name=name, who=WHO)
    return visit.page("games_table.html", done=(_brought_in(report), *report.notes))


def _brought_in(report: GamesReport) -> str:
    if not report.lines and report.lines_already:
        return f"All {plural(report.lines_already, 'row')} were here already; nothing changed."
    counted = (
        (report.players, "new player"), (report.games, "game"), (report.lines, "row"),
    )  # fmt: skip
    new = listed([plural(count, what) for count, what in counted if count])
    already = f" {report.lines_already} were here already." if report.lines_already else ""
    return f"Brought in {new or 'nothing'}.{already}"
