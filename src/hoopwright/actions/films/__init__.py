"""What a coach does with film: keep it, mark it, have it measured, chart what was measured.

``places`` are marked camera places (scenes), ``marking`` makes them from a still, ``kept`` the
films themselves, ``hand`` what is marked by hand, ``reading`` the measuring, ``watching`` how far
it is, ``pictures``, ``shown`` and ``clips`` what is looked at, ``entering`` the way into the
workouts.
"""

from hoopwright.actions.films.clips import clip_out, side_by_side_out, still_out
from hoopwright.actions.films.entering import UNSURE, Entered, body_of, enter_shots
from hoopwright.actions.films.hand import mark_by_hand, marks_of, unmark
from hoopwright.actions.films.kept import (
    Care,
    add_film,
    care_of,
    choose_scene,
    choose_set,
    clear_removed,
    clip_of,
    film,
    films_of,
    path_of,
    remove_film,
    say_slowed,
)
from hoopwright.actions.films.marking import (
    About,
    DrawnBack,
    MarkOff,
    check_marks,
    marks_in,
    place_drawn,
    still_there,
    work_out_place,
)
from hoopwright.actions.films.pictures import Still, block_of, nearest, stills_from
from hoopwright.actions.films.places import (
    add_scene,
    remove_scene,
    save_scene,
    scene,
    scenes,
)
from hoopwright.actions.films.reading import (
    MEASURE,
    cancel,
    job,
    jobs_of,
    keep_read,
    keep_seen,
    out_of_date,
    read_again,
    read_of,
    read_unmarked,
    ready_to_measure,
    ready_to_read_again,
    seen_of,
    start_measuring,
)
from hoopwright.actions.films.shown import ShotSeen, belongs, shot_seen
from hoopwright.actions.films.stages import Measuring, Progress, measure_film
from hoopwright.actions.films.watching import Standing, all_films, standing

__all__ = [
    "MEASURE",
    "UNSURE",
    "About",
    "Care",
    "DrawnBack",
    "Entered",
    "MarkOff",
    "Measuring",
    "Progress",
    "ShotSeen",
    "Standing",
    "Still",
    "add_film",
    "add_scene",
    "all_films",
    "belongs",
    "block_of",
    "body_of",
    "cancel",
    "care_of",
    "check_marks",
    "choose_scene",
    "choose_set",
    "clear_removed",
    "clip_of",
    "clip_out",
    "enter_shots",
    "film",
    "films_of",
    "job",
    "jobs_of",
    "keep_read",
    "keep_seen",
    "mark_by_hand",
    "marks_in",
    "marks_of",
    "measure_film",
    "nearest",
    "out_of_date",
    "path_of",
    "place_drawn",
    "read_again",
    "read_of",
    "read_unmarked",
    "ready_to_measure",
    "ready_to_read_again",
    "remove_film",
    "remove_scene",
    "save_scene",
    "say_slowed",
    "scene",
    "scenes",
    "seen_of",
    "shot_seen",
    "side_by_side_out",
    "standing",
    "start_measuring",
    "still_out",
    "still_there",
    "stills_from",
    "unmark",
    "work_out_place",
]
