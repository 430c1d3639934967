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


def downgrade() -> None:
    """Drop them."""
    op.drop_column("sets", "purpose")
    op.drop_column("shots", "feel")
