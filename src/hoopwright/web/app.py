"""The web edge: every page there is, on one screen."""

from functools import partial

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles

from hoopwright.errors import HoopwrightError
from hoopwright.settings import Settings
from hoopwright.store.engine import open_database
from hoopwright.store.media import open_media
from hoopwright.web.guards import OwnAddress, SafeHeaders, SizeLimit
from hoopwright.web.pages import (
    charting,
    drills,
    film,
    film_clips,
    film_place,
    film_review,
    findings,
    game_readings,
    games,
    load,
    players,
    practice,
    practice_group,
    practice_plan,
    practice_tests,
    practice_visit,
    progress,
    reports,
    tables,
    trial_form,
    trial_together,
    trials,
    workouts,
)
from hoopwright.web.rendering import templates
from hoopwright.web.stills import Stills
from hoopwright.web.trouble import broken, refused, status_page
from hoopwright.web.visit import Handler, Site, endpoint, taking_in

#: where films come in, the one address that takes more than an ordinary form
_NEW_FILM = "/films/new"


def create_app(settings: Settings) -> Starlette:
    """Open the database and return the pages.

    Raises
    ------
    StoreTrouble
        The database can't be opened, or the address of the films makes no sense.
    """
    site = Site(
        settings=settings,
        database=open_database(settings.database),
        templates=templates(),
        media=open_media(
            settings.films_address, copies=settings.film_copies, largest=settings.largest_film
        ),
        stills=Stills(),
    )
    return Starlette(
        routes=routes(site),
        middleware=[
            Middleware(SafeHeaders),
            Middleware(OwnAddress, host=settings.host),
            Middleware(
                SizeLimit,
                largest=settings.largest_upload,
                film_page=_NEW_FILM,
                largest_film=settings.largest_film,
            ),
        ],
        exception_handlers={
            HTTPException: partial(status_page, site),
            HoopwrightError: partial(refused, site),
            Exception: partial(broken, site),
        },
    )


def routes(site: Site) -> list[BaseRoute]:
    """Return the whole route table: address, name, what shows it, what its form does."""
    at, on = partial(_at, site), partial(_on, site)
    p, w, c, f, t = players, workouts, charting, findings, tables
    player, workout, shot_set = (
        "/players/{player:uuid}",
        "/workouts/{workout:uuid}",
        "/sets/{set:uuid}",
    )
    picture = player + "/findings/{condition:int}/{figure}"
    return [
        at("/", "home", p.home),
        at("/players", "players", p.players),
        at("/players/new", "new_player", p.new_player, p.add_player),
        at(player, "player", p.player),
        at(player + "/change", "change_player", p.change_player, p.save_player),
        at(player + "/remove", "remove_player", p.ask_remove_player, p.remove_player),
        at(player + "/workouts/new", "new_workout", w.new_workout, w.start_workout),
        at("/workouts", "workouts", w.workouts),
        at(workout, "workout", w.workout, w.save_workout),
        on(workout + "/remove", "remove_workout", w.workout, w.remove_workout),
        at(workout + "/sets/new", "new_set", w.new_set, w.add_set),
        at(shot_set, "shot_set", c.shot_set),
        at(shot_set + "/change", "change_set", w.change_set, w.save_set),
        on(shot_set + "/remove", "remove_set", c.shot_set, w.remove_set),
        on(shot_set + "/shots", "record", c.shot_set, c.record),
        on(shot_set + "/undo", "undo", c.shot_set, c.undo),
        on(shot_set + "/counts", "counts", c.shot_set, c.counts),
        on(shot_set + "/line", "line", c.shot_set, c.line),
        at(shot_set + "/shots/{shot:uuid}", "one_shot", c.one_shot, c.correct),
        *film_routes(site),
        *trial_routes(site),
        *practice_routes(site),
        *game_routes(site),
        *report_routes(site),
        at("/findings", "findings_choose", f.choose),
        at(player + "/findings", "findings", f.findings),
        at(player + "/findings.pdf", "findings_pdf", f.pdf),
        at(picture + ".svg", "picture", f.picture),
        at(picture + ".json", "interactive", f.interactive),
        at("/interactive.js", "interactive_script", f.script),
        at("/tables", "tables", t.tables, t.bring_in),
        at("/tables/{kind}", "export", t.take_out),
        Mount("/static", StaticFiles(packages=[("hoopwright.web", "static")]), name="static"),
    ]


def film_routes(site: Site) -> list[BaseRoute]:
    """Return the addresses under Film, as ``routes`` does."""
    at, on = partial(_at, site), partial(_on, site)
    m, p, r, c = film, film_place, film_review, film_clips
    one = "/films/{film:uuid}"
    shot = one + "/shots/{shot:uuid}"
    taken_in = taking_in(site, m.new, m.add)
    return [
        at("/films", "films", m.listed),
        Route(_NEW_FILM, taken_in, name="new_film", methods=["GET", "POST"]),
        at(one, "film", m.film),
        at(one + "/progress", "film_progress", m.progress),
        on(one + "/measure", "measure_film", m.film, m.measure),
        on(one + "/stop", "stop_film", m.film, m.stop),
        on(one + "/speed", "film_speed", m.film, m.say_speed),
        on(one + "/set", "film_set", m.film, m.say_set),
        on(one + "/enter", "enter_film", m.film, m.enter),
        on(one + "/remove", "remove_film", m.film, m.remove),
        at(one + "/pictures/{frame:int}.jpg", "film_still", m.still),
        at(one + "/place", "film_place", p.place, p.choose),
        on(one + "/place/remove", "remove_place", p.place, p.remove),
        at(one + "/place/marks", "mark_place", p.mark, p.keep),
        at(one + "/place/check", "check_place", None, p.check),
        at(shot, "film_shot", r.shot, r.mark),
        on(shot + "/marks/{mark:uuid}/remove", "unmark", r.shot, r.unmark),
        on(shot + "/make", "make", r.shot, c.make),
        at(one + "/made/{job:uuid}", "made", c.made),
        at(one + "/made/{job:uuid}/progress", "making", c.making),
        on(one + "/made/{job:uuid}/stop", "stop_making", c.made, c.stop),
        at(one + "/made/{job:uuid}/file", "made_file", c.file),
    ]


def trial_routes(site: Site) -> list[BaseRoute]:
    """Return the addresses under Trials, as ``routes`` does."""
    at, on = partial(_at, site), partial(_on, site)
    t, f, g = trials, trial_form, trial_together
    one, player = "/trials/{trial:uuid}", "/players/{player:uuid}"
    return [
        at("/trials", "trials_choose", t.choose),
        at("/trials/together", "trials_together", g.questions),
        at("/trials/together/read", "together", g.together),
        at("/trials/together/read.svg", "together_picture", g.together_picture),
        at("/trials/together/read.json", "together_interactive", g.together_interactive),
        at(player + "/trials", "trials", t.listed),
        at(player + "/trials/new", "new_trial", f.new, f.plan),
        at(one, "trial", t.trial),
        at(one + "/order.pdf", "trial_sheet", t.sheet),
        on(one + "/begin", "begin_block", t.trial, t.begin),
        on(one + "/finish", "finish_block", t.trial, t.finish),
        on(one + "/longer", "extend_trial", t.trial, t.extend),
        on(one + "/stop", "stop_trial", t.trial, t.stop),
        on(one + "/remove", "remove_trial", t.trial, t.remove),
        on(one + "/look", "look", t.trial, t.look),
        at(one + "/verdict", "verdict", t.verdict),
        at(one + "/verdict.svg", "verdict_picture", t.verdict_picture),
        at(one + "/verdict.json", "verdict_interactive", t.verdict_interactive),
        at("/feel", "group_feel", g.group_feel),
        at(player + "/feel", "feel", g.player_feel),
    ]


def practice_routes(site: Site) -> list[BaseRoute]:
    """Return the addresses under Practice, and those of load, as ``routes`` does."""
    at, on = partial(_at, site), partial(_on, site)
    p, w, v, t, g, d, b = (
        practice, practice_plan, practice_visit, practice_tests, practice_group, load, drills,
    )  # fmt: skip
    player, plan, drill = "/players/{player:uuid}", "/plans/{plan:uuid}", "/drills/{key}"
    visit = plan + "/visits/{number:int}"
    item, test = visit + "/drills/{place:int}", plan + "/tests/{kind}/{day}"
    entry, flag = player + "/load/{entry:uuid}", player + "/flags/{flag:uuid}"
    return [
        at("/practice", "practice_choose", p.choose),
        at("/practice/group", "practice_group", g.shown),
        at("/practice/group.pdf", "practice_group_pdf", g.pdf),
        at(player + "/practice", "practice", p.of_player),
        at(player + "/practice/new", "new_plan", p.new_plan, p.make_plan),
        at(plan, "plan", w.plan),
        at(plan + ".pdf", "plan_pdf", w.pdf),
        on(plan + "/cue", "plan_cue", w.plan, w.change_cue),
        on(plan + "/free-days", "plan_block", w.plan, w.block),
        on(plan + "/stage", "plan_stage", w.plan, w.change_stage),
        on(plan + "/end", "plan_end", w.plan, w.end),
        on(plan + "/remove", "plan_remove", w.plan, w.remove),
        at(visit, "plan_session", v.session, v.log),
        at(visit + "/sheet.pdf", "session_pdf", v.pdf),
        on(visit + "/move", "move_session", v.session, v.move),
        on(visit + "/drop", "drop_session", v.session, v.drop),
        at(item, "plan_item", v.item, v.save_item),
        on(item + "/remove", "remove_item", v.item, v.remove_item),
        at(test, "plan_test", t.shown, t.begin),
        on(test + "/skip", "skip_test", t.shown, t.skip),
        at("/drills", "drills", b.listed),
        at("/drills/new", "new_drill", b.new_drill, b.add_drill),
        at(drill, "drill", b.drill),
        at(drill + "/change", "change_drill", b.change_drill, b.save_drill),
        on(drill + "/remove", "remove_drill", b.drill, b.remove_drill),
        at(player + "/load", "load", d.shown, d.note),
        at(entry, "load_entry", d.entry, d.save_entry),
        on(entry + "/remove", "remove_load", d.entry, d.remove_entry),
        at(player + "/stop", "stop_player", d.stop, d.raise_flag),
        at(flag, "flag", d.flag),
        on(flag + "/clear", "clear_flag", d.flag, d.clear),
        on(flag + "/withdraw", "withdraw_flag", d.flag, d.withdraw),
    ]


def game_routes(site: Site) -> list[BaseRoute]:
    """Return the addresses under Games and of progress, as ``routes`` does."""
    at, on = partial(_at, site), partial(_on, site)
    g, r, p = games, game_readings, progress
    player = "/players/{player:uuid}"
    one, line = player + "/games/{game:uuid}", player + "/progress/{place:int}"
    return [
        at("/games", "games_choose", g.choose),
        at("/games/tables", "games_table", r.table, r.bring_in),
        at(player + "/games", "games", r.shown),
        at(player + "/games/ratios.svg", "ratios", r.picture),
        at(player + "/games/ratios.json", "ratios_interactive", r.interactive),
        at(player + "/games/forecast", "forecast", r.foresee),
        at(player + "/games/transferred", "transferred", r.transferred),
        at(player + "/games/new", "new_game", g.new_game, g.add_game),
        at(one, "game", g.game, g.save_game),
        on(one + "/remove", "remove_game", g.game, g.remove_game),
        on(player + "/games/lines/{line:uuid}/remove", "remove_line", r.shown, g.remove_line),
        at(player + "/progress", "progress", p.shown, p.announce),
        on(player + "/progress/{change:uuid}/withdraw", "withdraw_change", p.shown, p.withdraw),
        at(line + ".svg", "progress_picture", p.picture),
        at(line + ".json", "progress_interactive", p.interactive),
    ]


def report_routes(site: Site) -> list[BaseRoute]:
    """Return the addresses under Reports, as ``routes`` does."""
    at, r = partial(_at, site), reports
    player = "/players/{player:uuid}/reports"
    one = player + "/{reader}"
    return [
        at("/reports", "reports_choose", r.choose),
        at("/reports/group", "report_group", r.group),
        at("/reports/group.pdf", "report_group_pdf", r.group_pdf),
        at(player, "reports", r.of_player),
        at(one + ".pdf", "report_pdf", r.pdf),
        at(one, "report", r.shown),
        at(one + "/{picture}.svg", "report_picture", r.picture),
    ]


def _at(
    site: Site, path: str, name: str, get: Handler | None, post: Handler | None = None
) -> Route:
    """Return the address of a page, and of what its form does; either may be missing."""
    methods = ["GET"] * (get is not None) + ["POST"] * (post is not None)
    return Route(path, endpoint(site, get, post), name=name, methods=methods)


def _on(site: Site, path: str, name: str, shows: Handler, post: Handler) -> Route:
    """Return the address of a form alone; ``shows`` is the page it stands on."""
    return Route(path, endpoint(site, shows, post), name=name, methods=["POST"])
