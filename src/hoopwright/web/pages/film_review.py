"""One filmed shot: its picture with what was seen drawn in, its numbers, and marks set by hand."""

import math
from typing import Any
from uuid import UUID

from starlette.responses import JSONResponse, Response

from hoopwright.actions import films, people
from hoopwright.errors import BadInput, HoopwrightError, NotFound
from hoopwright.film.results import Moment, Poses
from hoopwright.records import FilmMark, MarkKind
from hoopwright.reports.film_words import body_numbers, result_words, shot_numbers
from hoopwright.web.visit import WHO, Visit

#: body points that a coach marks, in the order of a body from top to toe
POINTS = tuple(
    f"{side} {part}"
    for part in (
        "eye", "ear", "shoulder", "elbow", "wrist", "index finger", "hip", "knee", "ankle", "heel",
        "foot tip",
    )
    for side in ("left", "right")
)  # fmt: skip
#: what the form calls the other things that can be marked
BALL, RESULT = "ball", "result"
MEASURE_AGAIN = "The mark is kept; the film is being measured again, which brings it in."


def shot(visit: Visit) -> Response:
    """Show one shot of a film, or give what is drawn on its pictures as data."""
    seen = _seen(visit)
    read = films.read_of(visit.session, seen.film.id)
    stale = films.out_of_date(visit.session, seen.film.id, read) if read else ""
    if visit.wants_json:
        return JSONResponse(drawn_data(seen) | {"out_of_date": stale})
    frame = _frame(visit, seen)
    return visit.page(
        "film_shot.html",
        film=seen.film,
        player=people.get_player(visit.session, seen.film.player_id),
        seen=seen,
        shot=seen.shot,
        result=result_words(seen.shot),
        ball_numbers=shot_numbers(seen.shot),
        stale=stale,
        released=_released(seen),
        body_numbers=body_numbers(seen.shot.body),
        # just inside, so that whatever is set on any of them belongs to this shot
        first=min(seen.frame_at(seen.shot.start) + 1, seen.clip.frames - 1),
        last=max(seen.frame_at(seen.shot.end) - 1, 0),
        frame=frame,
        data=drawn_data(seen),
        body=_body_at(seen.poses, frame),
        moments=tuple(moment.value for moment in Moment),
        points=POINTS,
        other=_others(visit, seen),
        care=films.care_of(visit.session, seen.film.id),
        neighbours=_neighbours(visit, seen),
        standing=films.standing(visit.session, seen.film),
        said=visit.request.query_params.get("said", ""),
    )


def mark(visit: Visit) -> Response:
    """Keep a mark set by hand, and read the film again with it."""
    film_id, shot_id, fields = visit.id("film"), visit.id("shot"), visit.fields
    with visit.site.database.reading() as session:
        film, clip = films.film(session, film_id), films.clip_of(session, film_id)
        path = films.path_of(session, visit.site.media, film_id)
    frame = fields.whole("frame", "The picture")
    kind, name = _what(fields.text("what"))
    place = kind in (MarkKind.BALL, MarkKind.POINT)
    x = fields.number("x", "The place across") if place else None
    y = fields.number("y", "The place down") if place else None
    fields.check()
    if not 0 <= frame < clip.frames:
        raise BadInput(f"The film has pictures 0 to {clip.frames - 1}.", field="frame")
    made = FilmMark(
        film_id=film_id, shot_id=shot_id, kind=kind, name=name, frame=frame, x=x, y=y,
        time=visit.site.stills.at(film, path, frame).time,
    )  # fmt: skip
    with visit.site.database.session() as session:
        films.mark_by_hand(session, made, who=WHO)
    return _read_again(visit, frame)


def unmark(visit: Visit) -> Response:
    """Take a mark away, and read the film again without it."""
    with visit.site.database.session() as session:
        gone = films.unmark(session, visit.id("mark"), who=WHO)
    return _read_again(visit, gone.frame)


def _read_again(visit: Visit, frame: int) -> Response:
    """Read the film again; where that can't be done from what is kept, have it measured."""
    film_id, said = visit.id("film"), ""
    try:
        with visit.site.database.reading() as session:
            again = films.ready_to_read_again(session, visit.site.media, film_id)
        read = again.read()
        films.keep_read(visit.session, film_id, read, seen_key=again.seen_key)
    except (BadInput, NotFound):
        films.start_measuring(visit.session, film_id)
        said = "again"
    if visit.wants_json:
        return JSONResponse({"said": MEASURE_AGAIN if said else ""})
    answer = visit.go("film_shot", film=film_id, shot=visit.id("shot"))
    answer.headers["location"] += f"?frame={frame}" + (f"&said={said}" if said else "")
    return answer


def drawn_data(seen: films.ShotSeen) -> dict[str, Any]:
    """Return what is drawn on a shot's pictures, by the number of the picture [px]."""
    return {
        "trail": [
            [seen.frame_at(time), round(x, 1), round(y, 1)]
            for time, x, y in seen.shot.trail
            if math.isfinite(x) and math.isfinite(y)
        ],
        "body": {} if seen.poses is None else _bodies(seen.poses),
        "lines": _body_lines() if seen.poses is not None else [],
        "events": [
            {
                "name": event.moment.value,
                "frame": seen.frame_at(event.time),
                "by_hand": event.by_hand,
            }
            for event in sorted(seen.shot.events, key=lambda event: event.time)
        ],
        "marks": [
            {"what": _said(mark), "frame": mark.frame, "x": mark.x, "y": mark.y}
            for mark in seen.marks
        ],
        "points": _point_names() if seen.poses is not None else [],
    }


def _bodies(poses: Poses) -> dict[str, list[list[float] | None]]:
    return {
        str(int(frame)): [
            [round(float(x), 1), round(float(y), 1)] if math.isfinite(x) else None
            for x, y in poses.points[row]
        ]
        for row, frame in enumerate(poses.frame)
    }


def _body_at(poses: Poses | None, frame: int) -> list[tuple[float, float, float, float]]:
    """Return the lines of the body in one picture, for browsers without scripts."""
    if poses is None:
        return []
    for row in [i for i, known in enumerate(poses.frame) if known == frame]:
        ends = [(poses.points[row, a], poses.points[row, b]) for a, b in _body_lines()]
        return [
            (float(a[0]), float(a[1]), float(b[0]), float(b[1]))
            for a, b in ends
            if math.isfinite(a[0]) and math.isfinite(b[0])
        ]
    return []


def _body_lines() -> list[tuple[int, int]]:
    from hoopwright.film.overlay import BODY

    return [*BODY]


def _point_names() -> list[str]:
    from hoopwright.film.bodynet import POINTS as names

    return [*names]


def _seen(visit: Visit) -> films.ShotSeen:
    return films.shot_seen(visit.session, visit.site.media, visit.id("film"), visit.id("shot"))


def _frame(visit: Visit, seen: films.ShotSeen) -> int:
    """Return the picture to show: the one asked for, else the release."""
    asked = visit.fields.text("frame") or visit.request.query_params.get("frame", "")
    if asked.isdigit() and len(asked) < 10:
        return min(int(asked), seen.clip.frames - 1)
    return _released(seen)


def _released(seen: films.ShotSeen) -> int:
    """Return the picture of the release, or the first one where it is not known."""
    times = [e.time for e in seen.shot.events if e.moment is Moment.RELEASE]
    if seen.shot.ball is not None:
        times.insert(0, seen.shot.ball.release_time.value)
    return seen.frame_at(times[0] if times else seen.shot.start)


def _what(text: str) -> tuple[MarkKind, str]:
    """Read what was marked: ``ball``, ``result made``, ``event release`` or ``point left knee``."""
    kind, _, name = text.partition(" ")
    if kind not in {one.value for one in MarkKind}:
        raise BadInput("Say what you mark: choose it from the list.", field="what")
    return MarkKind(kind), name


def _said(mark: FilmMark) -> str:
    return "ball" if mark.kind is MarkKind.BALL else mark.name


def _neighbours(visit: Visit, seen: films.ShotSeen) -> tuple[UUID | None, UUID | None]:
    read = films.read_of(visit.session, seen.film.id)
    ids = [one.id for one in read.shots] if read else []
    at = ids.index(seen.shot.id)
    return (ids[at - 1] if at else None, ids[at + 1] if at + 1 < len(ids) else None)


def _others(visit: Visit, seen: films.ShotSeen) -> list[tuple[str, str]]:
    """Return the player's other filmed shots, for showing two side by side: value and words."""
    found = []
    for film in films.films_of(visit.session, seen.film.player_id):
        try:
            read = films.read_of(visit.session, film.id)
        except HoopwrightError:
            continue
        for one in read.shots if read else ():
            if one.id != seen.shot.id and shot_numbers(one):
                words = f"{film.file_name}, shot {one.position + 1}, {result_words(one)}"
                found.append((f"{film.id} {one.id}", words))
    return found
