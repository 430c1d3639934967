"""Films: the list, adding one, one film with its job, and its way into the workouts."""

from collections.abc import Sequence
from uuid import UUID

from starlette.responses import JSONResponse, Response

from hoopwright.actions import films, people, shots
from hoopwright.errors import BadInput, NotFound
from hoopwright.film.models import ready
from hoopwright.film.results import ClipFacts, FilmedShot
from hoopwright.records import Film, FilmMark, ShotSet, Workout
from hoopwright.reports.film_words import Number, result_words, shot_numbers
from hoopwright.reports.words import plural
from hoopwright.web.visit import WHO, Visit

#: workouts offered when a film is said to show one of their sets, the newest
OFFERED = 12
#: how a field begins that says which charted shot a filmed one is, and its value for none
PAIR, NOT_CHARTED = "pair-", "none"
#: numbers of a shot shown in the list of shots
_LISTED = ("speed", "angle", "entry")


def listed(visit: Visit) -> Response:
    """List films, the newest first; of one player where the address says so."""
    found = films.all_films(visit.session)
    asked = visit.request.query_params.get("player", "")
    if asked:
        found = [one for one in found if str(one.film.player_id) == asked]
    return visit.page(
        "films.html", films=found, asked=asked, players=people.list_players(visit.session)
    )


def new(visit: Visit) -> Response:
    """Show the form that takes a film in."""
    asked = visit.fields.text("player") or visit.request.query_params.get("player", "")
    players = people.list_players(visit.session)
    known = [one.id for one in players if str(one.id) == asked]
    return visit.page(
        "film_new.html",
        players=players,
        asked=asked,
        sets=_sets(visit, known[0]) if known else (),
        largest=visit.site.settings.largest_film,
        asked_set=visit.fields.text("set") or visit.request.query_params.get("set", ""),
    )


def add(visit: Visit) -> Response:
    """Take a film in while it streams."""
    player_id = _chosen_player(visit)
    set_id = visit.fields.identity("set") if visit.fields.text("set") else None
    visit.fields.check()
    incoming = visit.incoming
    if incoming is None or not incoming.file_name:
        raise BadInput("No film was chosen; choose one from the phone or computer.", field="file")
    added = films.add_film(
        visit.session, visit.site.media, incoming, player_id=player_id,
        file_name=incoming.file_name, who=WHO, set_id=set_id,
    )  # fmt: skip
    if visit.wants_json:
        return JSONResponse({"go": visit.path("film", film=added.id)})
    return visit.go("film", film=added.id)


def film(visit: Visit) -> Response:
    """Show one film: how far it is, what it needs, its shots."""
    return shown(visit, visit.id("film"))


def shown(visit: Visit, film_id: UUID, *, done: tuple[str, ...] = ()) -> Response:
    """Show the page of a film, with what was just done."""
    one = films.film(visit.session, film_id)
    clip = films.clip_of(visit.session, film_id)
    read = films.read_of(visit.session, film_id)
    player = people.get_player(visit.session, one.player_id)
    marks = films.marks_of(visit.session, film_id)
    return visit.page(
        "film.html",
        film=one,
        player=player,
        clip=clip,
        played=clip.rate / clip.slowed,
        standing=films.standing(visit.session, one),
        scene=films.scene(visit.session, one.scene_id) if one.scene_id else None,
        sets=_sets(visit, one.player_id),
        care=films.care_of(visit.session, film_id),
        read=read,
        stale=films.out_of_date(visit.session, film_id, read) if read else "",
        only_ball=read is None and not ready(visit.site.settings.models),
        rows=[_row(shot, marks) for shot in (read.shots if read else ())],
        done=done,
    )


def _row(
    shot: FilmedShot, marks: Sequence[FilmMark]
) -> tuple[FilmedShot, str, list[Number], list[str], int]:
    """Return a shot for the list: its result, numbers, refusals, and how much was set by hand."""
    numbers = shot_numbers(shot)
    return (
        shot,
        result_words(shot),
        [n for n in numbers if n.key in _LISTED],
        [d.message for d in shot.doubts if d.refused],
        sum(films.belongs(mark, shot) for mark in marks),
    )


def progress(visit: Visit) -> Response:
    """Return how far a film is, for the page that watches."""
    film_id = visit.id("film")
    now = films.standing(visit.session, films.film(visit.session, film_id))
    read = films.read_of(visit.session, film_id)
    return JSONResponse(
        {
            "share": round(now.share, 3),
            "said": now.sentence,
            "ended": not now.under_way,
            "state": now.film.state.value,
            "out_of_date": films.out_of_date(visit.session, film_id, read) if read else "",
        }
    )


def measure(visit: Visit) -> Response:
    """Have a film measured; without marks where that is asked for."""
    film_id = visit.id("film")
    asked = visit.fields.text("unmarked") == "yes"
    unmarked = asked or films.read_unmarked(visit.session, film_id)
    if not unmarked and films.film(visit.session, film_id).scene_id is None:
        raise BadInput("Mark the camera place first, or choose a kept one.", field="measure")
    films.start_measuring(visit.session, film_id, unmarked=unmarked)
    return visit.go("film", film=film_id)


def stop(visit: Visit) -> Response:
    """Stop measuring a film."""
    film_id = visit.id("film")
    for job in films.jobs_of(visit.session, film_id):
        if not job.ended:
            films.cancel(visit.session, job.id)
    return visit.go("film", film=film_id)


def say_speed(visit: Visit) -> Response:
    """Store how fast a film was filmed."""
    film_id, fields = visit.id("film"), visit.fields
    factor = _typed_factor(visit, films.clip_of(visit.session, film_id))
    fields.check()
    films.say_slowed(visit.session, film_id, factor, who=WHO)
    return visit.go("film", film=film_id)


def say_set(visit: Visit) -> Response:
    """Store which set a film shows."""
    film_id, fields = visit.id("film"), visit.fields
    set_id = fields.identity("set") if fields.text("set") else None
    fields.check()
    films.choose_set(visit.session, film_id, set_id, who=WHO)
    return visit.go("film", film=film_id)


def enter(visit: Visit) -> Response:
    """Enter a film's shots into the workouts, and tell what became of them."""
    film_id = visit.id("film")
    pairs = _typed_pairs(visit)
    visit.fields.check()
    entered = films.enter_shots(visit.session, film_id, who=WHO, pairs=pairs)
    read = films.read_of(visit.session, film_id)
    places = {shot.id: shot.position + 1 for shot in read.shots} if read else {}
    one = films.film(visit.session, film_id)
    return visit.page(
        "film_entered.html",
        film=one,
        player=people.get_player(visit.session, one.player_id),
        lines=_became(entered),
        left_out=[(places.get(shot, "?"), shot, why) for shot, why in entered.left_out],
        unsure=films.UNSURE,
        sets=[shots.get_set(visit.session, set_id) for set_id in entered.set_ids],
    )


def remove(visit: Visit) -> Response:
    """Remove a film with its file."""
    gone = films.remove_film(visit.session, visit.site.media, visit.id("film"), who=WHO)
    visit.site.stills.forget(gone.id)
    return visit.go("films")


def _became(entered: films.Entered) -> list[str]:
    """Say what became of a film's shots."""
    counted = (
        (entered.joined, "{} joined to the charted ones"),
        (entered.added, "{} added"),
        (entered.updated, "{} brought up to date"),
        (entered.withdrawn, "{} taken back, as this reading does not bear them out"),
    )
    lines = [words.format(plural(count, "shot")) + "." for count, words in counted if count]
    if entered.contradicted:
        lines.append(
            f"{plural(len(entered.contradicted), 'shot')} charted one way and filmed the other; "
            "the chart's word is kept."
        )
    return [line[:1].upper() + line[1:] for line in lines] or ["Nothing was entered."]


def _chosen_player(visit: Visit) -> UUID:
    asked = visit.fields.text("player")
    # a session of its own: the one that takes the film in must not be open while it streams
    with visit.site.database.reading() as session:
        found = [one.id for one in people.list_players(session) if str(one.id) == asked]
    if not found:
        raise BadInput("Say whose film this is; choose a player.", field="player")
    return found[0]


def _sets(visit: Visit, player_id: UUID) -> list[tuple[Workout, ShotSet]]:
    newest = shots.list_workouts(visit.session, player_id)[::-1][:OFFERED]
    return [(workout, one) for workout in newest for one in workout.sets]


def _typed_pairs(visit: Visit) -> dict[UUID, UUID | None]:
    """Read which charted shot each filmed one is, where a person had to say so."""
    said = {
        name.removeprefix(PAIR): value
        for name, value in visit.fields.typed.items()
        if name.startswith(PAIR) and value
    }
    try:
        return {UUID(one): None if to == NOT_CHARTED else UUID(to) for one, to in said.items()}
    except ValueError as trouble:
        raise BadInput("Choose the charted shots from the lists; enter the shots again.") from (
            trouble
        )


def _typed_factor(visit: Visit, clip: ClipFacts) -> float | None:
    """Read how many times slower a film plays; None to go by the file."""
    fields = visit.fields
    if fields.text("filmed"):
        return fields.number("filmed", "The rate") * clip.slowed / clip.rate
    return fields.number("slowed", "The slowing") if fields.text("slowed") else None


def still(visit: Visit) -> Response:
    """Return one picture of a film."""
    one: Film = films.film(visit.session, visit.id("film"))
    frame = visit.request.path_params["frame"]
    clip = films.clip_of(visit.session, one.id)
    if frame >= clip.frames:
        raise NotFound(f"The film has pictures 0 to {clip.frames - 1}; there is no {frame}.")
    path = films.path_of(visit.session, visit.site.media, one.id)
    found = visit.site.stills.at(one, path, frame)
    headers = {"x-picture-time": f"{found.time:.6f}"}
    return Response(found.content, media_type="image/jpeg", headers=headers)
