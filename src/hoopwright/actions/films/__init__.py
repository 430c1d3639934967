"""What a coach does with film: keep it, mark it, have it measured, chart what was measured.

``places`` are marked camera places (scenes), ``kept`` the films themselves, ``hand`` what is marked
by hand, ``reading`` the measuring, ``entering`` the way into the workouts.
"""

from hoopwright.actions.films.entering import Entered, body_of, enter_shots
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
    read_again,
    read_of,
    ready_to_measure,
    seen_of,
    start_measuring,
)
from hoopwright.actions.films.stages import Measuring, Progress, measure_film

__all__ = [
    "MEASURE",
    "Care",
    "Entered",
    "Measuring",
    "Progress",
    "add_film",
    "add_scene",
    "body_of",
    "cancel",
    "care_of",
    "choose_scene",
    "choose_set",
    "clear_removed",
    "clip_of",
    "enter_shots",
    "film",
    "films_of",
    "job",
    "jobs_of",
    "keep_read",
    "keep_seen",
    "mark_by_hand",
    "marks_of",
    "measure_film",
    "path_of",
    "read_again",
    "read_of",
    "ready_to_measure",
    "remove_film",
    "remove_scene",
    "save_scene",
    "say_slowed",
    "scene",
    "scenes",
    "seen_of",
    "start_measuring",
    "unmark",
]
