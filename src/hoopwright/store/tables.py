"""All tables, in reading order: people, their shots, every change; film and its jobs; practice.

No behaviour here: rows become records in the modules beside this one. A change here needs a new
file in ``migrations/versions``; a test compares the two.
"""

from datetime import UTC, datetime

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Date,
    DateTime,
    Dialect,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
    Uuid,
)

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)


class Instant(TypeDecorator[datetime]):
    """A moment in UTC; SQLite has no time zones, so it is kept there without one."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Return the moment in UTC; a moment with no zone is refused by ``astimezone`` rules."""
        return None if value is None else value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Return the moment with its zone."""
        if value is None:
            return None
        return value.astimezone(UTC) if value.tzinfo else value.replace(tzinfo=UTC)


players = Table(
    "players",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("name", Text, nullable=False),
    # the name as it is compared: case, accents' spelling and runs of spaces do not matter
    Column("name_key", Text, nullable=False),
    # 0 where not told, so that the pair below is unique for those too
    Column("birth_year", Integer, nullable=False),
    Column("hand", Text, nullable=False),
    Column("height", Double),
    Column("ball_size", Integer, nullable=False),
    Column("ring_height", Double, nullable=False),
    Column("rules", Text, nullable=False),
    Column("coach", Text, nullable=False),
    Column("invented", Boolean, nullable=False),
    UniqueConstraint("name_key", "birth_year"),
)

workouts = Table(
    "workouts",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("player_id", ForeignKey("players.id", ondelete="CASCADE"), nullable=False),
    Column("day", Date, nullable=False),
    Column("note", Text, nullable=False),
    Index(None, "player_id", "day"),
)

sets = Table(
    "sets",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("workout_id", ForeignKey("workouts.id", ondelete="CASCADE"), nullable=False),
    Column("position", Integer, nullable=False),
    Column("spot", Text, nullable=False),
    Column("x", Double, nullable=False),
    Column("y", Double, nullable=False),
    Column("condition", Text, nullable=False),
    Column("ball_size", Integer, nullable=False),
    Column("ring_height", Double, nullable=False),
    Column("miss_detail", Text, nullable=False),
    Column("ordered", Boolean, nullable=False),
    Column("stops_on_makes", Boolean, nullable=False),
    # "cold test", "retention test", "transfer test" or "drill"; null where nothing special
    Column("purpose", Text),
    UniqueConstraint("workout_id", "position"),
)

shots = Table(
    "shots",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("set_id", ForeignKey("sets.id", ondelete="CASCADE"), nullable=False),
    Column("position", Integer, nullable=False),
    Column("made", Boolean, nullable=False),
    # "short" or "long"
    Column("miss_along", Text),
    # "left" or "right"
    Column("miss_across", Text),
    Column("half", Text),
    Column("along", Double),
    Column("across", Double),
    Column("along_sd", Double),
    Column("across_sd", Double),
    # 0 to 10, said before the result was seen
    Column("feel", Double),
    UniqueConstraint("set_id", "position"),
    CheckConstraint(
        "NOT made OR (miss_along IS NULL AND miss_across IS NULL)", name="made_is_no_miss"
    ),
    CheckConstraint("made OR half IS NULL", name="half_is_made"),
    CheckConstraint(
        "(along IS NULL) = (across IS NULL) AND (along IS NULL) = (along_sd IS NULL)"
        " AND (along IS NULL) = (across_sd IS NULL)",
        name="whole_landing",
    ),
)

releases = Table(
    "releases",
    metadata,
    Column("shot_id", ForeignKey("shots.id", ondelete="CASCADE"), primary_key=True),
    Column("speed", Double, nullable=False),
    Column("angle", Double, nullable=False),
    Column("direction", Double, nullable=False),
    Column("height", Double, nullable=False),
    Column("along", Double, nullable=False),
    Column("across", Double, nullable=False),
    # 25 numbers, row by row
    Column("covariance", JSON, nullable=False),
    # likewise, where shots of one camera have an error in common
    Column("shared", JSON(none_as_null=True)),
    # a camera place or a film; no foreign key, because the shot outlives both
    Column("camera", Uuid),
)

edits = Table(
    "edits",
    metadata,
    # a plain INTEGER key is what counts up by itself in SQLite
    Column("id", BigInteger().with_variant(Integer, "sqlite"), primary_key=True),
    Column("at", Instant, nullable=False),
    Column("who", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("thing_id", Uuid, nullable=False, index=True),
    # whose things; no foreign key, because the log outlives the player
    Column("player_id", Uuid, nullable=False, index=True),
    Column("what", Text, nullable=False),
    Column("before", Text, nullable=False),
    # these four make the log a chain, see ``chain``
    Column("salt", Text, nullable=False, server_default=""),
    Column("digest", Text, nullable=False, server_default=""),
    Column("previous", Text, nullable=False, server_default=""),
    Column("hash", Text, nullable=False, server_default=""),
)

scenes = Table(
    "scenes",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("gym", Text, nullable=False),
    Column("place", Text, nullable=False),
    Column("rules", Text, nullable=False),
    Column("ring_height", Double, nullable=False),
    # as ``film.scene`` writes it
    Column("content", Text, nullable=False),
    Column("made_at", Instant, nullable=False),
)

films = Table(
    "films",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("player_id", ForeignKey("players.id", ondelete="CASCADE"), nullable=False),
    Column("workout_id", ForeignKey("workouts.id", ondelete="SET NULL"), index=True),
    Column("set_id", ForeignKey("sets.id", ondelete="SET NULL"), index=True),
    # a scene that a film was measured with is not removed under it
    Column("scene_id", ForeignKey("scenes.id"), index=True),
    # what the phone called it: shown, never used as a path
    Column("file_name", Text, nullable=False),
    Column("media_key", Text, nullable=False, unique=True),
    # bytes
    Column("size", BigInteger, nullable=False),
    Column("sha256", Text, nullable=False),
    # ``film.results.ClipFacts``, as the file alone tells them
    Column("clip", JSON, nullable=False),
    # what a person said; null where nobody did
    Column("slowed", Double),
    Column("added_at", Instant, nullable=False),
    # the same film of the same player is there once
    UniqueConstraint("player_id", "sha256"),
)

film_marks = Table(
    "film_marks",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("film_id", ForeignKey("films.id", ondelete="CASCADE"), nullable=False),
    # the filmed shot, which outlives a reading; no foreign key
    Column("shot_id", Uuid),
    # "event", "ball", "point" or "result"
    Column("kind", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("frame", Integer, nullable=False),
    Column("time", Double, nullable=False),
    Column("x", Double),
    Column("y", Double),
    Column("value", Double),
    Column("who", Text, nullable=False),
    Column("at", Instant, nullable=False),
    Index("ix_film_marks_film_id_frame", "film_id", "frame"),
)

film_reads = Table(
    "film_reads",
    metadata,
    Column("film_id", ForeignKey("films.id", ondelete="CASCADE"), primary_key=True),
    # as ``film.written`` writes it
    Column("result", Text, nullable=False),
    # file of what was seen in the pictures, kept beside the film; null where there is none
    Column("seen_key", Text),
    Column("reader", Text, nullable=False),
    Column("made_at", Instant, nullable=False),
)

filmed_shots = Table(
    "filmed_shots",
    metadata,
    Column("film_id", ForeignKey("films.id", ondelete="CASCADE"), primary_key=True),
    # the shot's id in the reading
    Column("filmed_id", Uuid, primary_key=True),
    # null once somebody took the shot out of its set: it is not put back then
    Column("shot_id", ForeignKey("shots.id", ondelete="SET NULL"), unique=True),
    # True where the shot was charted by hand before the film was read
    Column("charted", Boolean, nullable=False),
    # what the film said of the result when it was entered
    Column("made", Boolean, nullable=False),
)

body_measures = Table(
    "body_measures",
    metadata,
    Column("shot_id", ForeignKey("shots.id", ondelete="CASCADE"), primary_key=True),
    Column("name", Text, primary_key=True),
    Column("value", Double, nullable=False),
    Column("sd", Double, nullable=False),
)

removed_media = Table(
    "removed_media",
    metadata,
    # files that nothing names any more; a row goes once the file is gone
    Column("media_key", Text, primary_key=True),
)

jobs = Table(
    "jobs",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("argument", JSON, nullable=False),
    Column("film_id", ForeignKey("films.id", ondelete="CASCADE"), index=True),
    # "waiting", "running", "done", "failed" or "cancelled"
    Column("state", Text, nullable=False),
    # 0 to 1
    Column("progress", Double, nullable=False),
    Column("message", Text, nullable=False),
    Column("error", Text, nullable=False),
    # runs that were started and not given back
    Column("attempts", Integer, nullable=False),
    # counts up whenever a run may start, so that an earlier run's word no longer counts
    Column("token", Integer, nullable=False),
    # True once the run of this token has started
    Column("begun", Boolean, nullable=False),
    Column("worker", Text, nullable=False),
    Column("leased_until", Instant),
    Column("created_at", Instant, nullable=False),
    Column("started_at", Instant),
    Column("ended_at", Instant),
    Index("ix_jobs_state_created_at", "state", "created_at"),
)

trials = Table(
    "trials",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("player_id", ForeignKey("players.id", ondelete="CASCADE"), nullable=False, index=True),
    # the change's name as it is compared, and the measure: trials alike in both answer one question
    Column("change_key", Text, nullable=False, index=True),
    Column("measure", Text, nullable=False),
    # as ``trials.written`` writes it
    Column("plan", Text, nullable=False),
    # "planned", "running", "ended" or "stopped"
    Column("state", Text, nullable=False),
    # settled beforehand: blocks begun later do not count; null where none was settled
    Column("stop_day", Date),
    # what was said before the start that it can and can't tell, as ``trials.written`` writes it
    Column("foretold", Text, nullable=False),
    Column("planned_at", Instant, nullable=False),
    Column("planned_by", Text, nullable=False),
    # why it was stopped or ended
    Column("note", Text, nullable=False),
)

trial_blocks = Table(
    "trial_blocks",
    metadata,
    Column("trial_id", ForeignKey("trials.id", ondelete="CASCADE"), primary_key=True),
    Column("number", Integer, primary_key=True),
    # a block whose set was removed was never begun
    Column("set_id", ForeignKey("sets.id", ondelete="CASCADE"), nullable=False, unique=True),
    Column("begun_at", Instant, nullable=False),
    # null until all its shots are there or somebody says so
    Column("done_at", Instant),
)

trial_looks = Table(
    "trial_looks",
    metadata,
    Column("trial_id", ForeignKey("trials.id", ondelete="CASCADE"), primary_key=True),
    # order, from 1
    Column("number", Integer, primary_key=True),
    Column("at", Instant, nullable=False),
    Column("who", Text, nullable=False),
    # one of the five words
    Column("said", Text, nullable=False),
    # as ``trials.written`` writes it
    Column("verdict", Text, nullable=False),
)

plans = Table(
    "plans",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("player_id", ForeignKey("players.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("start", Date, nullable=False),
    # as ``plans.written`` writes it
    Column("plan", Text, nullable=False),
    Column("made_at", Instant, nullable=False),
    # null while it goes on
    Column("ended_on", Date),
)

plan_sessions = Table(
    "plan_sessions",
    metadata,
    Column("plan_id", ForeignKey("plans.id", ondelete="CASCADE"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("done", Boolean, nullable=False),
    Column("day", Date, nullable=False),
    Column("note", Text, nullable=False),
)

plan_scores = Table(
    "plan_scores",
    metadata,
    Column("plan_id", Uuid, primary_key=True),
    Column("number", Integer, primary_key=True),
    # place of the drill within the session, from 0
    Column("item", Integer, primary_key=True),
    Column("attempts", Integer, nullable=False),
    Column("made", Integer, nullable=False),
    ForeignKeyConstraint(
        ["plan_id", "number"],
        ["plan_sessions.plan_id", "plan_sessions.number"],
        ondelete="CASCADE",
    ),
)

plan_tests = Table(
    "plan_tests",
    metadata,
    Column("plan_id", ForeignKey("plans.id", ondelete="CASCADE"), primary_key=True),
    Column("day", Date, primary_key=True, index=True),
    # "cold", "retention" or "transfer"
    Column("kind", Text, primary_key=True),
    Column("shots", Integer, nullable=False),
    # True where somebody said that it will not be taken
    Column("skipped", Boolean, nullable=False),
)

plan_test_sets = Table(
    "plan_test_sets",
    metadata,
    # the sets a test was taken in
    Column("set_id", ForeignKey("sets.id", ondelete="CASCADE"), primary_key=True),
    Column("plan_id", Uuid, nullable=False),
    Column("day", Date, nullable=False),
    Column("kind", Text, nullable=False),
    ForeignKeyConstraint(
        ["plan_id", "day", "kind"],
        ["plan_tests.plan_id", "plan_tests.day", "plan_tests.kind"],
        ondelete="CASCADE",
    ),
    Index(None, "plan_id", "day", "kind"),
)

drills = Table(
    "drills",
    metadata,
    # those that a coach added, or changed from the library
    Column("key", Text, primary_key=True),
    # as ``plans.written`` writes it
    Column("drill", Text, nullable=False),
)

games = Table(
    "games",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("day", Date, nullable=False),
    Column("opponent", Text, nullable=False),
)

game_lines = Table(
    "game_lines",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("game_id", ForeignKey("games.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("player_id", ForeignKey("players.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("shot_type", Text, nullable=False),
    # null where not noted
    Column("contested", Boolean),
    Column("attempts", Integer, nullable=False),
    Column("made", Integer, nullable=False),
)

announced_changes = Table(
    "announced_changes",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("player_id", ForeignKey("players.id", ondelete="CASCADE"), nullable=False, index=True),
    Column("name", Text, nullable=False),
    Column("day", Date, nullable=False),
    Column("dip_days", Integer, nullable=False),
)

load_entries = Table(
    "load_entries",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("player_id", ForeignKey("players.id", ondelete="CASCADE"), nullable=False),
    Column("day", Date, nullable=False),
    Column("organised_minutes", Double, nullable=False),
    Column("self_led_minutes", Double, nullable=False),
    Column("coached_shots", Integer, nullable=False),
    Column("self_led_shots", Integer, nullable=False),
    Column("games", Integer, nullable=False),
    Column("note", Text, nullable=False),
    Index(None, "player_id", "day"),
)

flags = Table(
    "flags",
    metadata,
    Column("id", Uuid, primary_key=True),
    Column("player_id", ForeignKey("players.id", ondelete="CASCADE"), nullable=False, index=True),
    # "pain" or "head knock"
    Column("kind", Text, nullable=False),
    Column("day", Date, nullable=False),
    Column("note", Text, nullable=False),
    Column("reported_by", Text, nullable=False),
    # null until somebody who may do so said that the player may go on
    Column("cleared_on", Date),
    Column("cleared_by", Text),
    Column("cleared_name", Text, nullable=False),
)
