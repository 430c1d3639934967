"""Scenes, films, what is marked and read on them, and the jobs that read them."""

import sqlalchemy as sa
from alembic import op

revision: str = "0002"
down_revision: str | None = "0001"
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Make the tables of film."""
    _scenes()
    _films()
    _marks()
    _reads()
    _measured_shots()
    _shared_errors()
    _jobs()


def downgrade() -> None:
    """Drop them."""
    for column in ("camera", "shared"):
        op.drop_column("releases", column)
    for name in ("jobs", "removed_media", "body_measures", "filmed_shots", "film_reads"):
        op.drop_table(name)
    for name in ("film_marks", "films", "scenes"):
        op.drop_table(name)


def _scenes() -> None:
    op.create_table(
        "scenes",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("gym", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("rules", sa.Text(), nullable=False),
        sa.Column("ring_height", sa.Double(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_scenes"),
    )


def _films() -> None:
    op.create_table(
        "films",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("player_id", sa.Uuid(), nullable=False),
        sa.Column("workout_id", sa.Uuid(), nullable=True),
        sa.Column("set_id", sa.Uuid(), nullable=True),
        sa.Column("scene_id", sa.Uuid(), nullable=True),
        sa.Column("file_name", sa.Text(), nullable=False),
        sa.Column("media_key", sa.Text(), nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("clip", sa.JSON(), nullable=False),
        sa.Column("slowed", sa.Double(), nullable=True),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_films"),
        sa.UniqueConstraint("player_id", "sha256", name="uq_films_player_id_sha256"),
        sa.ForeignKeyConstraint(
            ["player_id"], ["players.id"], name="fk_films_player_id", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["workout_id"], ["workouts.id"], name="fk_films_workout_id", ondelete="SET NULL"
        ),
        sa.ForeignKeyConstraint(
            ["set_id"], ["sets.id"], name="fk_films_set_id", ondelete="SET NULL"
        ),
        sa.ForeignKeyConstraint(["scene_id"], ["scenes.id"], name="fk_films_scene_id"),
        sa.UniqueConstraint("media_key", name="uq_films_media_key"),
    )
    for column in ("workout_id", "set_id", "scene_id"):
        op.create_index(f"ix_films_{column}", "films", [column])


def _marks() -> None:
    op.create_table(
        "film_marks",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("film_id", sa.Uuid(), nullable=False),
        sa.Column("shot_id", sa.Uuid(), nullable=True),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("frame", sa.Integer(), nullable=False),
        sa.Column("time", sa.Double(), nullable=False),
        sa.Column("x", sa.Double(), nullable=True),
        sa.Column("y", sa.Double(), nullable=True),
        sa.Column("value", sa.Double(), nullable=True),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_film_marks"),
        sa.ForeignKeyConstraint(
            ["film_id"], ["films.id"], name="fk_film_marks_film_id", ondelete="CASCADE"
        ),
    )
    op.create_index("ix_film_marks_film_id_frame", "film_marks", ["film_id", "frame"])


def _reads() -> None:
    op.create_table(
        "film_reads",
        sa.Column("film_id", sa.Uuid(), nullable=False),
        sa.Column("result", sa.Text(), nullable=False),
        sa.Column("seen_key", sa.Text(), nullable=True),
        sa.Column("reader", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("film_id", name="pk_film_reads"),
        sa.ForeignKeyConstraint(
            ["film_id"], ["films.id"], name="fk_film_reads_film_id", ondelete="CASCADE"
        ),
    )


def _measured_shots() -> None:
    op.create_table(
        "filmed_shots",
        sa.Column("film_id", sa.Uuid(), nullable=False),
        sa.Column("filmed_id", sa.Uuid(), nullable=False),
        sa.Column("shot_id", sa.Uuid(), nullable=True),
        sa.Column("charted", sa.Boolean(), nullable=False),
        sa.Column("made", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("film_id", "filmed_id", name="pk_filmed_shots"),
        sa.ForeignKeyConstraint(
            ["film_id"], ["films.id"], name="fk_filmed_shots_film_id", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["shot_id"], ["shots.id"], name="fk_filmed_shots_shot_id", ondelete="SET NULL"
        ),
        sa.UniqueConstraint("shot_id", name="uq_filmed_shots_shot_id"),
    )
    op.create_table(
        "body_measures",
        sa.Column("shot_id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Double(), nullable=False),
        sa.Column("sd", sa.Double(), nullable=False),
        sa.PrimaryKeyConstraint("shot_id", "name", name="pk_body_measures"),
        sa.ForeignKeyConstraint(
            ["shot_id"], ["shots.id"], name="fk_body_measures_shot_id", ondelete="CASCADE"
        ),
    )


def _shared_errors() -> None:
    op.add_column("releases", sa.Column("shared", sa.JSON(), nullable=True))
    op.add_column("releases", sa.Column("camera", sa.Uuid(), nullable=True))


def _jobs() -> None:
    op.create_table(
        "removed_media",
        sa.Column("media_key", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("media_key", name="pk_removed_media"),
    )
    op.create_table(
        "jobs",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("argument", sa.JSON(), nullable=False),
        sa.Column("film_id", sa.Uuid(), nullable=True),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("progress", sa.Double(), nullable=False),
        sa.Column("message", sa.Text(), nullable=False),
        sa.Column("error", sa.Text(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("token", sa.Integer(), nullable=False),
        sa.Column("begun", sa.Boolean(), nullable=False),
        sa.Column("worker", sa.Text(), nullable=False),
        sa.Column("leased_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_jobs"),
        sa.ForeignKeyConstraint(
            ["film_id"], ["films.id"], name="fk_jobs_film_id", ondelete="CASCADE"
        ),
    )
    op.create_index("ix_jobs_film_id", "jobs", ["film_id"])
    op.create_index("ix_jobs_state_created_at", "jobs", ["state", "created_at"])
