"""What is found in one garden is looked up by the garden: its page asks for it each time it is opened."""

from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Make the index."""
    op.create_index("ix_finding_site", "finding", ["site"])
