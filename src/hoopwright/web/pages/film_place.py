"""Camera places: marked on a picture of a film, kept, and used again."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from typing import Any
from uuid import UUID

import msgspec
from starlette.responses import JSONResponse, Response

from hoopwright.actions import films, people
from hoopwright.court.standards import BALL_SIZES, rule_books
from hoopwright.errors import BadInput, HoopwrightError
from hoopwright.film.landmarks import Landmark, Mark, landmarks
from hoopwright.film.results import ClipFacts
from hoopwright.records import StoredScene
from hoopwright.web.forms import Fields
from hoopwright.web.visit import WHO, Visit

#: shares of a film at which a picture for marking is offered
OFFERED = (0.0, 0.25, 0.5, 0.75, 1.0)
#: landmarks are listed under these heads, by how their names begin
GROUPS = (
    ("Board", ("board", "inner rectangle")),
    ("Ring", ("ring",)),
    ("Floor", ("free-throw", "lane", "three-point", "court")),
)
#: what is typed beside the marks
_TYPED = ("gym", "place", "ring_height", "ball_size")
#: most marks read from one form
MOST = 60


def place(visit: Visit) -> Response:
    """Show from where a film was filmed: the kept places, and the one chosen drawn back."""
    film = films.film(visit.session, visit.id("film"))
    clip = films.clip_of(visit.session, film.id)
    chosen = films.scene(visit.session, film.scene_id) if film.scene_id else None
    drawn, trouble = _drawn(chosen, clip)
    checked = None
    if chosen is not None and visit.request.query_params.get("compare"):
        checked = _compared(visit, film.id, chosen, clip)
    return visit.page(
        "film_place.html",
        film=film,
        player=people.get_player(visit.session, film.player_id),
        clip=clip,
        chosen=chosen,
        drawn=drawn,
        trouble_drawn=trouble,
        checked=checked,
        scenes=films.scenes(visit.session),
    )


def choose(visit: Visit) -> Response:
    """Have a film measured from a kept place, and compare it with the film at once."""
    film_id = visit.id("film")
    scene_id = visit.fields.identity("scene") if visit.fields.text("scene") else None
    visit.fields.check()
    films.choose_scene(visit.session, film_id, scene_id, who=WHO)
    address = visit.go("film_place", film=film_id)
    if scene_id is not None:
        address.headers["location"] += "?compare=1"
    return address


def remove(visit: Visit) -> Response:
    """Remove a kept place that no film names."""
    scene_id = visit.fields.identity("scene")
    visit.fields.check()
    films.remove_scene(visit.session, scene_id, who=WHO)
    return visit.go("film_place", film=visit.id("film"))


def mark(visit: Visit) -> Response:
    """Show the picture on which landmarks are marked."""
    film = films.film(visit.session, visit.id("film"))
    player = people.get_player(visit.session, film.player_id)
    clip = films.clip_of(visit.session, film.id)
    before = films.scene(visit.session, film.scene_id) if film.scene_id else None
    rules = visit.fields.text("rules") or _asked(visit, "rules", before.rules if before else "")
    rules = rules if rules in {book.key for book in rule_books()} else player.rules
    height = visit.fields.text("ring_height") or _asked(
        visit, "ring", f"{before.ring_height:g}" if before else ""
    )
    return visit.page(
        "film_mark.html",
        film=film,
        player=player,
        clip=clip,
        before=before,
        frame=_frame(visit, clip),
        offered=[round(share * (clip.frames - 1)) for share in OFFERED],
        rules=rules,
        ring_height=height or f"{player.ring_height:g}",
        rule_books=rule_books(),
        ball_sizes=BALL_SIZES,
        groups=_grouped(landmarks(rules)),
        marks=visit.fields.text("marks") or _kept_marks(before, clip, rules),
    )


def keep(visit: Visit) -> Response:
    """Keep a marked camera place and have the film measured from there."""
    film_id, fields = visit.id("film"), visit.fields
    with visit.site.database.reading() as session:
        film, clip = films.film(session, film_id), films.clip_of(session, film_id)
        path = films.path_of(session, visit.site.media, film_id)
    scene_id, about = fields.identity("id"), _about(fields)
    frame = fields.whole("frame", "The picture", default=0)
    fields.check()
    with _beside_the_marks():
        made = films.work_out_place(
            path, clip, scene_id=scene_id, about=about, marks=typed_marks(fields.text("marks")),
            time=visit.site.stills.at(film, path, min(max(frame, 0), clip.frames - 1)).time,
        )  # fmt: skip
    kept = films.add_scene(visit.session, made, who=WHO)
    films.choose_scene(visit.session, film_id, kept.id, who=WHO)
    return visit.go("film_place", film=film_id)


def check(visit: Visit) -> Response:
    """Return what marks give, drawn back, while they are being set; nothing is kept."""
    clip = films.clip_of(visit.session, visit.id("film"))
    sent = visit.sent if isinstance(visit.sent, dict) else {}
    fields = Fields({key: str(sent.get(key, "")) for key in ("rules", "ring_height")})
    height = fields.length("ring_height", "The ring height") or 3.05
    try:
        fields.check()
        found = films.check_marks(
            marks_of(sent.get("marks")), size=(clip.width, clip.height),
            rules=fields.text("rules") or "fiba", ring_height=height,
        )  # fmt: skip
    except BadInput as trouble:
        return JSONResponse({"error": trouble.message, "field": trouble.field})
    return JSONResponse(asdict(found))


def typed_marks(text: str) -> tuple[Mark, ...]:
    """Read marks from the text that the page puts into its form.

    Raises
    ------
    BadInput
        It is no list of marks.
    """
    try:
        return marks_of(msgspec.json.decode(text or "[]"))
    except msgspec.DecodeError as trouble:
        raise BadInput("The marks can't be read; mark the picture again.", field="marks") from (
            trouble
        )


def marks_of(sent: Any) -> tuple[Mark, ...]:
    """Read marks from plain data: a list of name, x and y.

    Raises
    ------
    BadInput
        It is no list of marks.
    """
    try:
        rows = msgspec.convert(sent, list[tuple[str, float, float]])
    except msgspec.ValidationError as trouble:
        raise BadInput("The marks can't be read; mark the picture again.", field="marks") from (
            trouble
        )
    if len(rows) > MOST:
        raise BadInput(f"More than {MOST} marks can't be used; remove some.", field="marks")
    return tuple(Mark(name=name, x=x, y=y) for name, x, y in rows)


@contextmanager
def _beside_the_marks() -> Iterator[None]:
    """Say what is wrong with one mark where the marks are, as it has no field of its own."""
    try:
        yield
    except BadInput as trouble:
        if trouble.field not in _TYPED:
            trouble.field = "marks"
        raise


def _about(fields: Fields) -> films.About:
    return films.About(
        gym=fields.text("gym"),
        place=fields.text("place"),
        rules=fields.text("rules") or "fiba",
        ring_height=fields.needed_length("ring_height", "The ring height"),
        ball_size=fields.whole("ball_size", "The ball size", default=7),
    )


def _asked(visit: Visit, name: str, otherwise: str) -> str:
    return visit.request.query_params.get(name, "") or otherwise


def _frame(visit: Visit, clip: ClipFacts) -> int:
    asked = visit.fields.text("frame") or visit.request.query_params.get("frame", "0")
    return min(int(asked), clip.frames - 1) if asked.isdigit() and len(asked) < 10 else 0


def _grouped(known: dict[str, Landmark]) -> list[tuple[str, list[Landmark]]]:
    return [
        (head, [one for one in known.values() if one.name.startswith(starts)])
        for head, starts in GROUPS
    ]


def _kept_marks(before: StoredScene | None, clip: ClipFacts, rules: str) -> str:
    """Return the marks of the place chosen now, to start from, as the page's form has them."""
    if before is None or before.rules != rules:
        return "[]"
    try:
        marks = films.marks_in(before, size=(clip.width, clip.height))
    except HoopwrightError:
        return "[]"
    return msgspec.json.encode(
        [[one.name, round(one.x, 1), round(one.y, 1)] for one in marks]
    ).decode()


def _drawn(scene: StoredScene | None, clip: ClipFacts) -> tuple[films.DrawnBack | None, str]:
    if scene is None:
        return None, ""
    try:
        return films.place_drawn(scene, size=(clip.width, clip.height)), ""
    except BadInput as trouble:
        return None, trouble.message


def _compared(visit: Visit, film_id: UUID, scene: StoredScene, clip: ClipFacts) -> tuple[bool, str]:
    path = films.path_of(visit.session, visit.site.media, film_id)
    try:
        return films.still_there(path, scene, slowed=clip.slowed)
    except HoopwrightError as trouble:
        return False, trouble.message
