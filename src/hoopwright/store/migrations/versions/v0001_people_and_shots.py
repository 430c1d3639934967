"""People, workouts, sets, shots, and the log of changes."""

import sqlalchemy as sa
from alembic import op

revision: str = "0001"
down_revision: str | None = None
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Make the first tables."""
    _people()
    _workouts()
    _shots()
    _edits()


def downgrade() -> None:
    """Drop them."""
    for name in ("edits", "releases", "shots", "sets", "workouts", "players"):
        op.drop_table(name)


def _people() -> None:
    op.create_table(
        "players",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("name_key", sa.Text(), nullable=False),
        sa.Column("birth_year", sa.Integer(), nullable=False),
        sa.Column("hand", sa.Text(), nullable=False),
        sa.Column("height", sa.Double(), nullable=True),
        sa.Column("ball_size", sa.Integer(), nullable=False),
        sa.Column("ring_height", sa.Double(), nullable=False),
        sa.Column("rules", sa.Text(), nullable=False),
        sa.Column("coach", sa.Text(), nullable=False),
        sa.Column("invented", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_players"),
        sa.UniqueConstraint("name_key", "birth_year", name="uq_players_name_key_birth_year"),
    )


def _workouts() -> None:
    op.create_table(
        "workouts",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("player_id", sa.Uuid(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_workouts"),
        sa.ForeignKeyConstraint(
            ["player_id"], ["players.id"], name="fk_workouts_player_id", ondelete="CASCADE"
        ),
    )
    op.create_index("ix_workouts_player_id_day", "workouts", ["player_id", "day"])
    op.create_table(
        "sets",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("workout_id", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("spot", sa.Text(), nullable=False),
        sa.Column("x", sa.Double(), nullable=False),
        sa.Column("y", sa.Double(), nullable=False),
        sa.Column("condition", sa.Text(), nullable=False),
        sa.Column("ball_size", sa.Integer(), nullable=False),
        sa.Column("ring_height", sa.Double(), nullable=False),
        sa.Column("miss_detail", sa.Text(), nullable=False),
        sa.Column("ordered", sa.Boolean(), nullable=False),
        sa.Column("stops_on_makes", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_sets"),
        sa.ForeignKeyConstraint(
            ["workout_id"], ["workouts.id"], name="fk_sets_workout_id", ondelete="CASCADE"
        ),
        sa.UniqueConstraint("workout_id", "position", name="uq_sets_workout_id_position"),
    )


def _shots() -> None:
    op.create_table(
        "shots",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("set_id", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("made", sa.Boolean(), nullable=False),
        sa.Column("miss_along", sa.Text(), nullable=True),
        sa.Column("miss_across", sa.Text(), nullable=True),
        sa.Column("half", sa.Text(), nullable=True),
        sa.Column("along", sa.Double(), nullable=True),
        sa.Column("across", sa.Double(), nullable=True),
        sa.Column("along_sd", sa.Double(), nullable=True),
        sa.Column("across_sd", sa.Double(), nullable=True),
        sa.CheckConstraint(
            "NOT made OR (miss_along IS NULL AND miss_across IS NULL)",
            name=op.f("ck_shots_made_is_no_miss"),
        ),
        sa.CheckConstraint("made OR half IS NULL", name=op.f("ck_shots_half_is_made")),
        sa.CheckConstraint(
            "(along IS NULL) = (across IS NULL) AND (along IS NULL) = (along_sd IS NULL)"
            " AND (along IS NULL) = (across_sd IS NULL)",
            name=op.f("ck_shots_whole_landing"),
        ),
        sa.PrimaryKeyConstraint("id", name="pk_shots"),
        sa.ForeignKeyConstraint(
            ["set_id"], ["sets.id"], name="fk_shots_set_id", ondelete="CASCADE"
        ),
        sa.UniqueConstraint("set_id", "position", name="uq_shots_set_id_position"),
    )
    op.create_table(
        "releases",
        sa.Column("shot_id", sa.Uuid(), nullable=False),
        sa.Column("speed", sa.Double(), nullable=False),
        sa.Column("angle", sa.Double(), nullable=False),
        sa.Column("direction", sa.Double(), nullable=False),
        sa.Column("height", sa.Double(), nullable=False),
        sa.Column("along", sa.Double(), nullable=False),
        sa.Column("across", sa.Double(), nullable=False),
        sa.Column("covariance", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("shot_id", name="pk_releases"),
        sa.ForeignKeyConstraint(
            ["shot_id"], ["shots.id"], name="fk_releases_shot_id", ondelete="CASCADE"
        ),
    )


def _edits() -> None:
    op.create_table(
        "edits",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("thing_id", sa.Uuid(), nullable=False),
        sa.Column("player_id", sa.Uuid(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("before", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_edits"),
    )
    op.create_index("ix_edits_thing_id", "edits", ["thing_id"])
    op.create_index("ix_edits_player_id", "edits", ["player_id"])
