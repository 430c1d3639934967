"""Clips and stills of a shot, made when asked for and handed over; nothing of them is kept."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from uuid import UUID

from starlette.responses import Response

from hoopwright.actions import films
from hoopwright.errors import BadInput, NotFound
from hoopwright.reports.film_words import body_numbers, shot_numbers
from hoopwright.web.visit import Visit

#: the moments that stills are made of, as the addresses have them
MOMENTS = {"dip": "dip", "set": "set point", "release": "release", "landing": "landing"}
#: how many numbers a clip has room for
MOST_NUMBERS = 3


def clip(visit: Visit) -> Response:
    """Return one shot as a clip with its lines and numbers."""
    seen, source = _shot(visit, visit.id("film"), visit.id("shot"))
    with _room(visit) as out:
        films.clip_out(
            seen, source, out, numbers=_numbers(visit, seen), hide_with=_models(visit),
            slower=_slower(visit),
        )  # fmt: skip
        return _mp4(out, f"shot-{seen.shot.position + 1}.mp4")


def still(visit: Visit) -> Response:
    """Return one shot at one of its moments as a picture."""
    moment = visit.request.path_params["moment"]
    if moment not in MOMENTS:
        raise NotFound(f"Stills are of {', '.join(MOMENTS)}; choose one of them.")
    seen, source = _shot(visit, visit.id("film"), visit.id("shot"))
    made = films.still_out(
        seen, source, MOMENTS[moment], numbers=_numbers(visit, seen), hide_with=_models(visit)
    )
    name = f"shot-{seen.shot.position + 1}-{moment}.jpg"
    return Response(made, media_type="image/jpeg", headers=_named(name))


def beside(visit: Visit) -> Response:
    """Return two shots beside each other, aligned at release."""
    after = _shot(visit, visit.id("film"), visit.id("shot"))
    film_id, shot_id = _other(visit)
    before = _shot(visit, film_id, shot_id)
    if before[0].film.player_id != after[0].film.player_id:
        raise BadInput("That shot is another player's; choose one of this player.", field="with")
    with _room(visit) as out:
        films.side_by_side_out(before, after, out, hide_with=_models(visit), slower=_slower(visit))
        return _mp4(out, "before-and-after.mp4")


def _shot(visit: Visit, film_id: UUID, shot_id: UUID) -> tuple[films.ShotSeen, Path]:
    seen = films.shot_seen(visit.session, visit.site.media, film_id, shot_id)
    return seen, films.path_of(visit.session, visit.site.media, film_id)


@contextmanager
def _room(visit: Visit) -> Iterator[Path]:
    """Give a place for a clip, in a folder of this account that is gone again afterwards."""
    with TemporaryDirectory(dir=visit.site.settings.data, prefix="clip-") as folder:
        yield Path(folder) / "clip.mp4"


def _mp4(made: Path, name: str) -> Response:
    return Response(made.read_bytes(), media_type="video/mp4", headers=_named(name))


def _named(name: str) -> dict[str, str]:
    return {"content-disposition": f'attachment; filename="{name}"'}


def _numbers(visit: Visit, seen: films.ShotSeen) -> tuple[str, ...]:
    asked = visit.request.query_params.getlist("number")
    known = {
        one.key: one.short
        for one in (
            *shot_numbers(seen.shot),
            *body_numbers(seen.shot.body),
        )
    }
    chosen = tuple(known[key] for key in asked if key in known)
    if len(chosen) > MOST_NUMBERS:
        raise BadInput("A clip has room for three numbers; leave some out.", field="number")
    return chosen


def _models(visit: Visit) -> Path | None:
    """Return where the models are that find faces, unless somebody chose to show faces."""
    # left out of an address, faces are hidden: only a choice made in the form shows them
    shown = visit.request.query_params.get("faces") == "shown"
    return None if shown else visit.site.settings.models


def _slower(visit: Visit) -> float:
    asked = visit.request.query_params.get("slower", "1")
    return {"1": 1.0, "2": 2.0, "4": 4.0, "8": 8.0}.get(asked, 1.0)


def _other(visit: Visit) -> tuple[UUID, UUID]:
    film_id, _, shot_id = visit.request.query_params.get("with", "").partition(" ")
    try:
        return UUID(film_id), UUID(shot_id)
    except ValueError as trouble:
        raise BadInput("Choose the shot to put beside this one.", field="with") from trouble
