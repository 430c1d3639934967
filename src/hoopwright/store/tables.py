"""All tables, in reading order: people, what they shot, and every change made to it.

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
)
