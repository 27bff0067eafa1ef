"""Accounts, invitations, sessions, failed sign-ins, the audit, and who sent what over the web page."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

#: Days for which no line of the audit can be taken out.
KEPT_DAYS = 400


def upgrade() -> None:
    """Make the tables of people, and make the audit append-only."""
    op.create_table(
        "account",
        sa.Column("account_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("sign_in_name", sa.Text(), nullable=True),
        sa.Column("role", sa.String(length=20), nullable=False),
        sa.Column("mail", sa.Text(), nullable=True),
        sa.Column("language", sa.String(length=10), nullable=False),
        sa.Column("passphrase", sa.Text(), nullable=True),
        sa.Column("made", sa.DateTime(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("removed", sa.DateTime(), nullable=True),
        sa.PrimaryKeyConstraint("account_id", name=op.f("pk_account")),
        sa.UniqueConstraint("sign_in_name", name=op.f("uq_account_sign_in_name")),
    )
    op.create_table(
        "audit",
        sa.Column("audit_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("account_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("act", sa.String(length=40), nullable=False),
        sa.Column("site", sa.Text(), nullable=True),
        sa.Column("what", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("audit_id", name=op.f("pk_audit")),
    )
    op.create_index(op.f("ix_audit_account_id"), "audit", ["account_id"], unique=False)
    op.create_index(op.f("ix_audit_at"), "audit", ["at"], unique=False)
    op.create_table(
        "sign_in_failure",
        sa.Column("who", sa.String(length=64), nullable=False),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("newest", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("who", name=op.f("pk_sign_in_failure")),
    )
    op.create_table(
        "web_upload",
        sa.Column("web_upload_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("account_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("on_behalf_of", sa.Text(), nullable=True),
        sa.Column("site", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("bytes", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("web_upload_id", name=op.f("pk_web_upload")),
    )
    op.create_index(op.f("ix_web_upload_sha256"), "web_upload", ["sha256"], unique=False)
    op.create_index("ix_web_upload_site_at", "web_upload", ["site", "at"], unique=False)
    op.create_table(
        "account_garden",
        sa.Column("account_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("site", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["account_id"], ["account.account_id"], name=op.f("fk_account_garden_account_id_account")
        ),
        sa.PrimaryKeyConstraint("account_id", "site", name=op.f("pk_account_garden")),
    )
    op.create_table(
        "invitation",
        sa.Column("token_sha256", sa.String(length=64), nullable=False),
        sa.Column("account_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("made", sa.DateTime(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("expires", sa.DateTime(), nullable=False),
        sa.Column("used", sa.DateTime(), nullable=True),
        sa.ForeignKeyConstraint(
            ["account_id"], ["account.account_id"], name=op.f("fk_invitation_account_id_account")
        ),
        sa.PrimaryKeyConstraint("token_sha256", name=op.f("pk_invitation")),
    )
    op.create_index(op.f("ix_invitation_account_id"), "invitation", ["account_id"], unique=False)
    op.create_table(
        "session",
        sa.Column("token_sha256", sa.String(length=64), nullable=False),
        sa.Column("account_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("began", sa.DateTime(), nullable=False),
        sa.Column("seen", sa.DateTime(), nullable=False),
        sa.Column("expires", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["account_id"], ["account.account_id"], name=op.f("fk_session_account_id_account")
        ),
        sa.PrimaryKeyConstraint("token_sha256", name=op.f("pk_session")),
    )
    op.create_index(op.f("ix_session_account_id"), "session", ["account_id"], unique=False)

    for statement in _APPEND_ONLY[op.get_bind().dialect.name]:
        op.execute(statement)


_APPEND_ONLY = {
    "sqlite": (
        "CREATE TRIGGER audit_not_changed BEFORE UPDATE ON audit "
        "BEGIN SELECT RAISE(ABORT, 'the audit is append-only'); END",
        "CREATE TRIGGER audit_kept BEFORE DELETE ON audit "
        f"WHEN OLD.at > datetime('now', '-{KEPT_DAYS} days') "
        "BEGIN SELECT RAISE(ABORT, 'the audit is kept for a stated time'); END",
    ),
    "postgresql": (
        "CREATE FUNCTION audit_refuse() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'the audit is append-only'; END $$",
        "CREATE TRIGGER audit_not_changed BEFORE UPDATE ON audit "
        "FOR EACH ROW EXECUTE FUNCTION audit_refuse()",
        "CREATE TRIGGER audit_kept BEFORE DELETE ON audit FOR EACH ROW "
        f"WHEN (OLD.at > now() AT TIME ZONE 'utc' - interval '{KEPT_DAYS} days') "
        "EXECUTE FUNCTION audit_refuse()",
    ),
}
