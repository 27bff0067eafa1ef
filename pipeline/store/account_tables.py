"""The tables of people: accounts and what lets them in, and the record of what they did.

No secret is stored: passphrases as Argon2 hashes, links and sessions as SHA-256 of a random token, the
names and addresses of failed sign-ins under a keyed hash.
"""

import sqlalchemy as sa

from pipeline.store.tables import metadata

_Id = sa.BigInteger().with_variant(sa.Integer, "sqlite")

accounts = sa.Table(
    "account",
    metadata,
    sa.Column("account_id", _Id, primary_key=True),
    sa.Column("name", sa.Text, nullable=False),
    # The name as it is compared at sign-in; unique among accounts that stand. Null once removed.
    sa.Column("sign_in_name", sa.Text, unique=True),
    sa.Column("role", sa.String(20), nullable=False),
    sa.Column("mail", sa.Text),
    sa.Column("language", sa.String(10), nullable=False),
    sa.Column("passphrase", sa.Text),
    sa.Column("made", sa.DateTime, nullable=False),
    sa.Column("made_by", sa.Text, nullable=False),
    sa.Column("removed", sa.DateTime),
)

account_gardens = sa.Table(
    "account_garden",
    metadata,
    sa.Column("account_id", sa.ForeignKey("account.account_id"), primary_key=True),
    sa.Column("site", sa.Text, primary_key=True),
)

invitations = sa.Table(
    "invitation",
    metadata,
    sa.Column("token_sha256", sa.String(64), primary_key=True),
    sa.Column("account_id", sa.ForeignKey("account.account_id"), nullable=False, index=True),
    sa.Column("made", sa.DateTime, nullable=False),
    sa.Column("made_by", sa.Text, nullable=False),
    sa.Column("expires", sa.DateTime, nullable=False),
    sa.Column("used", sa.DateTime),
)

sessions = sa.Table(
    "session",
    metadata,
    sa.Column("token_sha256", sa.String(64), primary_key=True),
    sa.Column("account_id", sa.ForeignKey("account.account_id"), nullable=False, index=True),
    sa.Column("began", sa.DateTime, nullable=False),
    sa.Column("seen", sa.DateTime, nullable=False),
    sa.Column("expires", sa.DateTime, nullable=False),
)

sign_in_failures = sa.Table(
    "sign_in_failure",
    metadata,
    sa.Column("who", sa.String(64), primary_key=True),
    sa.Column("failures", sa.Integer, nullable=False),
    sa.Column("newest", sa.DateTime, nullable=False),
)

audit = sa.Table(
    "audit",
    metadata,
    sa.Column("audit_id", _Id, primary_key=True),
    sa.Column("at", sa.DateTime, nullable=False, index=True),
    # Names are looked up by this number, so that erasing a person leaves the record whole. 0 is nobody.
    sa.Column("account_id", _Id, nullable=False, index=True),
    sa.Column("act", sa.String(40), nullable=False),
    sa.Column("site", sa.Text),
    sa.Column("what", sa.Text),
)

#: What was sent over the web page: which account sent which file for which garden. The night names the
#: sender of a file by its garden; this keeps the person, and for whom a lead typed.
web_uploads = sa.Table(
    "web_upload",
    metadata,
    sa.Column("web_upload_id", _Id, primary_key=True),
    sa.Column("at", sa.DateTime, nullable=False),
    sa.Column("account_id", _Id, nullable=False),
    sa.Column("on_behalf_of", sa.Text),
    sa.Column("site", sa.Text, nullable=False),
    sa.Column("sha256", sa.String(64), nullable=False, index=True),
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("bytes", sa.BigInteger, nullable=False),
    sa.Index("ix_web_upload_site_at", "site", "at"),
)
