"""Clips and stills of a shot: asked for, watched while the worker makes them, and taken."""

from uuid import UUID

from starlette.responses import FileResponse, JSONResponse, Response

from hoopwright.actions import films, people
from hoopwright.errors import BadInput, ModelsMissing, NotFound
from hoopwright.film.models import ready
from hoopwright.records import Job, JobState
from hoopwright.reports.film_words import body_numbers, shot_numbers
from hoopwright.web.visit import Visit

#: the moments that stills are made of, as the form has them
MOMENTS = {"dip": "dip", "set": "set point", "release": "release", "landing": "landing"}
#: what else the form asks for
CLIP, BESIDE = "clip", "beside"
#: how many numbers a clip has room for
MOST_NUMBERS = 3
#: how a field begins that asks for a number
NUMBER = "number-"


def make(visit: Visit) -> Response:
    """Have a clip or a still made, or go to the one that was asked for before."""
    asked = _asked(visit)
    if asked.hide_faces and not ready(visit.site.settings.models):
        raise ModelsMissing
    job = films.start_making(visit.session, visit.site.media, asked)
    if visit.wants_json:
        return JSONResponse({"go": _at(visit, "made", job), "progress": _at(visit, "making", job)})
    return visit.go("made", film=job.film_id, job=job.id)


def made(visit: Visit) -> Response:
    """Show how far it is; and once it is there, what was made."""
    job = _job(visit)
    film = films.film(visit.session, visit.id("film"))
    return visit.page(
        "film_made.html",
        film=film,
        job=job,
        asked=films.asked_of(job),
        player=people.get_player(visit.session, film.player_id),
        said=films.making_words(visit.session, job),
        care=films.care_of(visit.session, film.id),
        failed=job.state in (JobState.FAILED, JobState.CANCELLED),
        ready=job.state is JobState.DONE,
    )


def making(visit: Visit) -> Response:
    """Return how far it is, for the page that watches."""
    job = _job(visit)
    return JSONResponse(
        {
            "share": round(job.progress, 3),
            "said": films.making_words(visit.session, job),
            "ended": job.ended,
            "state": job.state.value,
            "file": _at(visit, "made_file", job) if job.state is JobState.DONE else "",
        }
    )


def stop(visit: Visit) -> Response:
    """Stop making it."""
    films.cancel(visit.session, _job(visit).id)
    return visit.go("made", film=visit.id("film"), job=visit.id("job"))


def file(visit: Visit) -> Response:
    """Hand over what was made: to look at, or to keep where the address says so."""
    job = _job(visit)
    path = films.made_file(visit.site.media, job)
    asked = films.asked_of(job)
    kind = "image/jpeg" if asked.still else "video/mp4"
    keep = "attachment" if visit.request.query_params.get("keep") else "inline"
    return FileResponse(path, media_type=kind, filename=_name(asked), content_disposition_type=keep)


def _name(asked: films.Asked) -> str:
    if asked.before is not None:
        return "before-and-after.mp4"
    return f"{asked.moment.replace(' ', '-')}.jpg" if asked.still else "shot.mp4"


def _at(visit: Visit, route: str, job: Job) -> str:
    return visit.path(route, film=job.film_id, job=job.id)


def _job(visit: Visit) -> Job:
    job = films.job(visit.session, visit.id("job"))
    if job.kind != films.MAKE or job.film_id != visit.id("film"):
        raise NotFound("That clip is not of this film; make it again.")
    return job


def _asked(visit: Visit) -> films.Asked:
    fields, film_id, shot_id = visit.fields, visit.id("film"), visit.id("shot")
    what = fields.text("make") or CLIP
    if what not in (CLIP, BESIDE, *MOMENTS):
        raise BadInput("Say what to make: choose one of the buttons.", field="make")
    seen = films.shot_seen(visit.session, visit.site.media, film_id, shot_id)
    return films.Asked(
        shot=(film_id, shot_id),
        before=_other(visit) if what == BESIDE else None,
        moment=MOMENTS.get(what, ""),
        numbers=() if what == BESIDE else _numbers(visit, seen),
        # left out, faces are hidden: only a choice made in the form shows them
        hide_faces=fields.text("faces") != "shown",
        slower=1.0 if what in MOMENTS else _slower(visit),
    )


def _numbers(visit: Visit, seen: films.ShotSeen) -> tuple[str, ...]:
    known = (*shot_numbers(seen.shot), *body_numbers(seen.shot.body))
    chosen = tuple(one.short for one in known if visit.fields.text(NUMBER + one.key))
    if len(chosen) > MOST_NUMBERS:
        raise BadInput("A clip has room for three numbers; leave some out.", field="number")
    return chosen


def _slower(visit: Visit) -> float:
    asked = visit.fields.text("slower") or "1"
    return {"1": 1.0, "2": 2.0, "4": 4.0, "8": 8.0}.get(asked, 1.0)


def _other(visit: Visit) -> tuple[UUID, UUID]:
    film_id, _, shot_id = visit.fields.text("with").partition(" ")
    try:
        which = UUID(film_id), UUID(shot_id)
    except ValueError as trouble:
        raise BadInput("Choose the shot to put beside this one.", field="with") from trouble
    # so that a shot that is gone is told now and not by the job
    films.shot_seen(visit.session, visit.site.media, *which)
    return which
