"""How shots felt and what sets were for; trials, plans, games and load."""

import sqlalchemy as sa
from alembic import op

revision: str = "0003"
down_revision: str | None = "0002"
branch_labels: None = None
depends_on: None = None


def upgrade() -> None:
    """Add the columns, make the tables."""
    op.add_column("shots", sa.Column("feel", sa.Double(), nullable=True))
    op.add_column("sets", sa.Column("purpose", sa.Text(), nullable=True))
    _trials()
    _plans()
    _tests()
    _games()
    _load()


def downgrade() -> None:
    """Drop them."""
    for name in ("flags", "load_entries", "announced_changes", "game_lines", "games"):
        op.drop_table(name)
    for name in ("plan_test_sets", "plan_tests", "drills", "plan_scores", "plan_sessions", "plans"):
        op.drop_table(name)
    for name in ("trial_looks", "trial_blocks", "trials"):
        op.drop_table(name)
    op.drop_column("sets", "purpose")
    op.drop_column("shots", "feel")


def _trials() -> None:
    op.create_table(
        "trials",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("player_id", sa.Uuid(), nullable=False),
        sa.Column("change_key", sa.Text(), nullable=False),
        sa.Column("measure", sa.Text(), nullable=False),
        sa.Column("plan", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("stop_day", sa.Date(), nullable=True),
        sa.Column("foretold", sa.Text(), nullable=False),
        sa.Column("planned_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("planned_by", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["player_id"], ["players.id"], name="fk_trials_player_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_trials"),
    )
    op.create_index("ix_trials_change_key", "trials", ["change_key"])
    op.create_index("ix_trials_player_id", "trials", ["player_id"])
    op.create_table(
        "trial_blocks",
        sa.Column("trial_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("set_id", sa.Uuid(), nullable=False),
        sa.Column("begun_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("done_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["set_id"], ["sets.id"], name="fk_trial_blocks_set_id", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["trial_id"], ["trials.id"], name="fk_trial_blocks_trial_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("trial_id", "number", name="pk_trial_blocks"),
        sa.UniqueConstraint("set_id", name="uq_trial_blocks_set_id"),
    )
    op.create_table(
        "trial_looks",
        sa.Column("trial_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["trial_id"], ["trials.id"], name="fk_trial_looks_trial_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("trial_id", "number", name="pk_trial_looks"),
    )


def _plans() -> None:
    op.create_table(
        "plans",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("player_id", sa.Uuid(), nullable=False),
        sa.Column("start", sa.Date(), nullable=False),
        sa.Column("plan", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_on", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(
            ["player_id"], ["players.id"], name="fk_plans_player_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_plans"),
    )
    op.create_index("ix_plans_player_id", "plans", ["player_id"])
    op.create_table(
        "plan_sessions",
        sa.Column("plan_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("done", sa.Boolean(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["plan_id"], ["plans.id"], name="fk_plan_sessions_plan_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("plan_id", "number", name="pk_plan_sessions"),
    )
    op.create_table(
        "plan_scores",
        sa.Column("plan_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("item", sa.Integer(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("made", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["plan_id", "number"],
            ["plan_sessions.plan_id", "plan_sessions.number"],
            name="fk_plan_scores_plan_id_number",
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("plan_id", "number", "item", name="pk_plan_scores"),
    )
    op.create_table(
        "drills",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("drill", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_drills"),
    )


def _tests() -> None:
    op.create_table(
        "plan_tests",
        sa.Column("plan_id", sa.Uuid(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("shots", sa.Integer(), nullable=False),
        sa.Column("skipped", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["plan_id"], ["plans.id"], name="fk_plan_tests_plan_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("plan_id", "day", "kind", name="pk_plan_tests"),
    )
    op.create_index("ix_plan_tests_day", "plan_tests", ["day"])
    op.create_table(
        "plan_test_sets",
        sa.Column("set_id", sa.Uuid(), nullable=False),
        sa.Column("plan_id", sa.Uuid(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["plan_id", "day", "kind"],
            ["plan_tests.plan_id", "plan_tests.day", "plan_tests.kind"],
            name="fk_plan_test_sets_plan_id_day_kind",
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["set_id"], ["sets.id"], name="fk_plan_test_sets_set_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("set_id", name="pk_plan_test_sets"),
    )
    op.create_index(
        "ix_plan_test_sets_plan_id_day_kind", "plan_test_sets", ["plan_id", "day", "kind"]
    )


def _games() -> None:
    op.create_table(
        "games",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("opponent", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_games"),
    )
    op.create_table(
        "game_lines",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("game_id", sa.Uuid(), nullable=False),
        sa.Column("player_id", sa.Uuid(), nullable=False),
        sa.Column("shot_type", sa.Text(), nullable=False),
        sa.Column("contested", sa.Boolean(), nullable=True),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("made", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["game_id"], ["games.id"], name="fk_game_lines_game_id", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["player_id"], ["players.id"], name="fk_game_lines_player_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_game_lines"),
    )
    op.create_index("ix_game_lines_game_id", "game_lines", ["game_id"])
    op.create_index("ix_game_lines_player_id", "game_lines", ["player_id"])
    op.create_table(
        "announced_changes",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("player_id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("dip_days", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["player_id"], ["players.id"], name="fk_announced_changes_player_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_announced_changes"),
    )
    op.create_index("ix_announced_changes_player_id", "announced_changes", ["player_id"])


def _load() -> None:
    op.create_table(
        "load_entries",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("player_id", sa.Uuid(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("organised_minutes", sa.Double(), nullable=False),
        sa.Column("self_led_minutes", sa.Double(), nullable=False),
        sa.Column("coached_shots", sa.Integer(), nullable=False),
        sa.Column("self_led_shots", sa.Integer(), nullable=False),
        sa.Column("games", sa.Integer(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["player_id"], ["players.id"], name="fk_load_entries_player_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_load_entries"),
    )
    op.create_index("ix_load_entries_player_id_day", "load_entries", ["player_id", "day"])
    op.create_table(
        "flags",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("player_id", sa.Uuid(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("reported_by", sa.Text(), nullable=False),
        sa.Column("cleared_on", sa.Date(), nullable=True),
        sa.Column("cleared_by", sa.Text(), nullable=True),
        sa.Column("cleared_name", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["player_id"], ["players.id"], name="fk_flags_player_id", ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name="pk_flags"),
    )
    op.create_index("ix_flags_player_id", "flags", ["player_id"])
