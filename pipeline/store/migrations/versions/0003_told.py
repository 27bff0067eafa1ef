"""What a garden or the lead was told by message on which occasion, so that it is told once."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Make the table of what was told."""
    op.create_table(
        "told",
        sa.Column("site", sa.Text(), nullable=False),
        sa.Column("occasion", sa.Text(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("run_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.ForeignKeyConstraint(["run_id"], ["run.run_id"], name=op.f("fk_told_run_id_run")),
        sa.PrimaryKeyConstraint("site", "occasion", name=op.f("pk_told")),
    )
