"""First schema: runs, uploads, sheets and their rows, findings, snapshots."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make all tables."""
    op.create_table(
        "decision",
        sa.Column("decision_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("made", sa.DateTime(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("answer", sa.String(length=30), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=True),
        sa.Column("row_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("finding_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("check", sa.String(length=40), nullable=True),
        sa.Column("site", sa.Text(), nullable=True),
        sa.Column("column", sa.String(length=40), nullable=True),
        sa.Column("value", sa.Text(), nullable=True),
        sa.Column("applied", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("withdrawn", sa.DateTime(), nullable=True),
        sa.Column("withdrawn_by", sa.Text(), nullable=True),
        sa.Column("undone", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.PrimaryKeyConstraint("decision_id", name=op.f("pk_decision")),
    )
    op.create_index(op.f("ix_decision_row_id"), "decision", ["row_id"], unique=False)
    op.create_table(
        "frame",
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_frame")),
    )
    op.create_table(
        "release",
        sa.Column("release_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("trial", sa.Text(), nullable=False),
        sa.Column("season", sa.Text(), nullable=False),
        sa.Column("snapshot", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("night", sa.Date(), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("released", sa.DateTime(), nullable=False),
        sa.Column("released_by", sa.Text(), nullable=False),
        sa.Column("taken_back", sa.DateTime(), nullable=True),
        sa.Column("taken_back_by", sa.Text(), nullable=True),
        sa.Column("successor", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.PrimaryKeyConstraint("release_id", name=op.f("pk_release")),
    )
    op.create_index("ix_release_trial_season", "release", ["trial", "season"], unique=False)
    op.create_table(
        "run",
        sa.Column("run_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("started", sa.DateTime(), nullable=False),
        sa.Column("ended", sa.DateTime(), nullable=True),
        sa.Column("status", sa.String(length=20), nullable=False),
        sa.Column("night", sa.Date(), nullable=False),
        sa.PrimaryKeyConstraint("run_id", name=op.f("pk_run")),
    )
    op.create_table(
        "release_frame",
        sa.Column("release_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.String(length=40), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(
            ["release_id"], ["release.release_id"], name=op.f("fk_release_frame_release_id_release")
        ),
        sa.ForeignKeyConstraint(["sha256"], ["frame.sha256"], name=op.f("fk_release_frame_sha256_frame")),
        sa.PrimaryKeyConstraint("release_id", "name", name=op.f("pk_release_frame")),
    )
    op.create_table(
        "snapshot",
        sa.Column("snapshot_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("run_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("night", sa.Date(), nullable=False),
        sa.Column("published", sa.DateTime(), nullable=False),
        sa.Column("fingerprint", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["run_id"], ["run.run_id"], name=op.f("fk_snapshot_run_id_run")),
        sa.PrimaryKeyConstraint("snapshot_id", name=op.f("pk_snapshot")),
    )
    op.create_table(
        "upload",
        sa.Column("upload_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("sender", sa.Text(), nullable=False),
        sa.Column("bytes", sa.BigInteger(), nullable=False),
        sa.Column("received", sa.DateTime(), nullable=False),
        sa.Column("run_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.ForeignKeyConstraint(["run_id"], ["run.run_id"], name=op.f("fk_upload_run_id_run")),
        sa.PrimaryKeyConstraint("upload_id", name=op.f("pk_upload")),
    )
    op.create_index(op.f("ix_upload_sha256"), "upload", ["sha256"], unique=False)
    op.create_table(
        "picture",
        sa.Column("upload_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("site", sa.Text(), nullable=True),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("put_away", sa.DateTime(), nullable=True),
        sa.Column("put_away_by", sa.Text(), nullable=True),
        sa.Column("why", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(
            ["upload_id"], ["upload.upload_id"], name=op.f("fk_picture_upload_id_upload")
        ),
        sa.PrimaryKeyConstraint("upload_id", name=op.f("pk_picture")),
    )
    op.create_table(
        "sheet",
        sa.Column("sheet_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("upload_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("tab", sa.Text(), nullable=True),
        sa.Column("kind", sa.String(length=20), nullable=True),
        sa.Column("verdict", sa.String(length=20), nullable=False),
        sa.Column("rows", sa.Integer(), nullable=False),
        sa.Column("used", sa.Integer(), nullable=False),
        sa.Column("held", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["upload_id"], ["upload.upload_id"], name=op.f("fk_sheet_upload_id_upload")),
        sa.PrimaryKeyConstraint("sheet_id", name=op.f("pk_sheet")),
    )
    op.create_index(op.f("ix_sheet_upload_id"), "sheet", ["upload_id"], unique=False)
    op.create_table(
        "snapshot_frame",
        sa.Column("snapshot_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("trial", sa.Text(), nullable=False),
        sa.Column("season", sa.Text(), nullable=False),
        sa.Column("name", sa.String(length=40), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["sha256"], ["frame.sha256"], name=op.f("fk_snapshot_frame_sha256_frame")),
        sa.ForeignKeyConstraint(
            ["snapshot_id"], ["snapshot.snapshot_id"], name=op.f("fk_snapshot_frame_snapshot_id_snapshot")
        ),
        sa.PrimaryKeyConstraint("snapshot_id", "trial", "season", "name", name=op.f("pk_snapshot_frame")),
    )
    op.create_table(
        "care_row",
        sa.Column("row_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sheet_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("line", sa.Integer(), nullable=False),
        sa.Column("season", sa.Text(), nullable=True),
        sa.Column("key", sa.Text(), nullable=True),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("entered", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("left", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("left_why", sa.String(length=20), nullable=True),
        sa.Column("successor", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("origin", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("decision_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("site", sa.Text(), nullable=True),
        sa.Column("date", sa.Date(), nullable=True),
        sa.Column("what", sa.Text(), nullable=True),
        sa.Column("plot", sa.Text(), nullable=True),
        sa.Column("product", sa.Text(), nullable=True),
        sa.Column("amount", sa.Double(), nullable=True),
        sa.Column("unit", sa.Text(), nullable=True),
        sa.Column("recorded_by", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("sent", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["sheet_id"], ["sheet.sheet_id"], name=op.f("fk_care_row_sheet_id_sheet")),
        sa.PrimaryKeyConstraint("row_id", name=op.f("pk_care_row")),
    )
    op.create_index(op.f("ix_care_row_sheet_id"), "care_row", ["sheet_id"], unique=False)
    op.create_index("ix_care_row_site_season", "care_row", ["site", "season"], unique=False)
    op.create_table(
        "condition_row",
        sa.Column("row_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sheet_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("line", sa.Integer(), nullable=False),
        sa.Column("season", sa.Text(), nullable=True),
        sa.Column("key", sa.Text(), nullable=True),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("entered", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("left", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("left_why", sa.String(length=20), nullable=True),
        sa.Column("successor", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("origin", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("decision_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("site", sa.Text(), nullable=True),
        sa.Column("plot", sa.Text(), nullable=True),
        sa.Column("date", sa.Date(), nullable=True),
        sa.Column("alive", sa.Double(), nullable=True),
        sa.Column("height_cm", sa.Double(), nullable=True),
        sa.Column("width_cm", sa.Double(), nullable=True),
        sa.Column("severity_pct", sa.Double(), nullable=True),
        sa.Column("problem", sa.Text(), nullable=True),
        sa.Column("union_visible", sa.Text(), nullable=True),
        sa.Column("shoots_removed", sa.Text(), nullable=True),
        sa.Column("recorded_by", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("sent", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["sheet_id"], ["sheet.sheet_id"], name=op.f("fk_condition_row_sheet_id_sheet")
        ),
        sa.PrimaryKeyConstraint("row_id", name=op.f("pk_condition_row")),
    )
    op.create_index(op.f("ix_condition_row_sheet_id"), "condition_row", ["sheet_id"], unique=False)
    op.create_index("ix_condition_row_site_season", "condition_row", ["site", "season"], unique=False)
    op.create_table(
        "delivery_row",
        sa.Column("row_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sheet_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("line", sa.Integer(), nullable=False),
        sa.Column("season", sa.Text(), nullable=True),
        sa.Column("key", sa.Text(), nullable=True),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("entered", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("left", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("left_why", sa.String(length=20), nullable=True),
        sa.Column("successor", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("origin", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("decision_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("site", sa.Text(), nullable=True),
        sa.Column("date", sa.Date(), nullable=True),
        sa.Column("treatment", sa.Text(), nullable=True),
        sa.Column("received", sa.Double(), nullable=True),
        sa.Column("usable", sa.Double(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("sent", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["sheet_id"], ["sheet.sheet_id"], name=op.f("fk_delivery_row_sheet_id_sheet")
        ),
        sa.PrimaryKeyConstraint("row_id", name=op.f("pk_delivery_row")),
    )
    op.create_index(op.f("ix_delivery_row_sheet_id"), "delivery_row", ["sheet_id"], unique=False)
    op.create_index("ix_delivery_row_site_season", "delivery_row", ["site", "season"], unique=False)
    op.create_table(
        "finding",
        sa.Column("finding_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sheet_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("row_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("kind", sa.String(length=20), nullable=True),
        sa.Column("line", sa.Integer(), nullable=True),
        sa.Column("column", sa.String(length=40), nullable=True),
        sa.Column("check", sa.String(length=40), nullable=False),
        sa.Column("level", sa.String(length=10), nullable=False),
        sa.Column("site", sa.Text(), nullable=True),
        sa.Column("plot", sa.Text(), nullable=True),
        sa.Column("season", sa.Text(), nullable=True),
        sa.Column("sent", sa.Text(), nullable=True),
        sa.Column("details", sa.Text(), nullable=False),
        sa.Column("identity", sa.Text(), nullable=True),
        sa.Column("entered", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("left", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.ForeignKeyConstraint(["sheet_id"], ["sheet.sheet_id"], name=op.f("fk_finding_sheet_id_sheet")),
        sa.PrimaryKeyConstraint("finding_id", name=op.f("pk_finding")),
    )
    op.create_index(op.f("ix_finding_row_id"), "finding", ["row_id"], unique=False)
    op.create_index(op.f("ix_finding_sheet_id"), "finding", ["sheet_id"], unique=False)
    op.create_table(
        "harvest_row",
        sa.Column("row_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sheet_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("line", sa.Integer(), nullable=False),
        sa.Column("season", sa.Text(), nullable=True),
        sa.Column("key", sa.Text(), nullable=True),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("entered", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("left", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("left_why", sa.String(length=20), nullable=True),
        sa.Column("successor", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("origin", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("decision_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("site", sa.Text(), nullable=True),
        sa.Column("plot", sa.Text(), nullable=True),
        sa.Column("date", sa.Date(), nullable=True),
        sa.Column("picking", sa.Double(), nullable=True),
        sa.Column("event", sa.Text(), nullable=True),
        sa.Column("stage", sa.Text(), nullable=True),
        sa.Column("marketable_count", sa.Double(), nullable=True),
        sa.Column("marketable_weight", sa.Double(), nullable=True),
        sa.Column("cull_count", sa.Double(), nullable=True),
        sa.Column("cull_weight", sa.Double(), nullable=True),
        sa.Column("cull_cause", sa.Text(), nullable=True),
        sa.Column("lost_count", sa.Double(), nullable=True),
        sa.Column("unit", sa.Text(), nullable=True),
        sa.Column("scale", sa.Text(), nullable=True),
        sa.Column("recorded_by", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("sent", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["sheet_id"], ["sheet.sheet_id"], name=op.f("fk_harvest_row_sheet_id_sheet")),
        sa.PrimaryKeyConstraint("row_id", name=op.f("pk_harvest_row")),
    )
    op.create_index(op.f("ix_harvest_row_sheet_id"), "harvest_row", ["sheet_id"], unique=False)
    op.create_index("ix_harvest_row_site_season", "harvest_row", ["site", "season"], unique=False)
    op.create_table(
        "outreach_row",
        sa.Column("row_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sheet_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("line", sa.Integer(), nullable=False),
        sa.Column("season", sa.Text(), nullable=True),
        sa.Column("key", sa.Text(), nullable=True),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("entered", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("left", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("left_why", sa.String(length=20), nullable=True),
        sa.Column("successor", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("origin", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("decision_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("site", sa.Text(), nullable=True),
        sa.Column("date", sa.Date(), nullable=True),
        sa.Column("activity", sa.Text(), nullable=True),
        sa.Column("volunteers", sa.Double(), nullable=True),
        sa.Column("hours", sa.Double(), nullable=True),
        sa.Column("hours_kind", sa.Text(), nullable=True),
        sa.Column("contacts", sa.Double(), nullable=True),
        sa.Column("contact_kind", sa.Text(), nullable=True),
        sa.Column("intend_to_adopt", sa.Double(), nullable=True),
        sa.Column("donated_weight", sa.Double(), nullable=True),
        sa.Column("unit", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("sent", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["sheet_id"], ["sheet.sheet_id"], name=op.f("fk_outreach_row_sheet_id_sheet")
        ),
        sa.PrimaryKeyConstraint("row_id", name=op.f("pk_outreach_row")),
    )
    op.create_index(op.f("ix_outreach_row_sheet_id"), "outreach_row", ["sheet_id"], unique=False)
    op.create_index("ix_outreach_row_site_season", "outreach_row", ["site", "season"], unique=False)
    op.create_table(
        "planting_row",
        sa.Column("row_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sheet_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("line", sa.Integer(), nullable=False),
        sa.Column("season", sa.Text(), nullable=True),
        sa.Column("key", sa.Text(), nullable=True),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("entered", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("left", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("left_why", sa.String(length=20), nullable=True),
        sa.Column("successor", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("origin", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("decision_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("site", sa.Text(), nullable=True),
        sa.Column("plot", sa.Text(), nullable=True),
        sa.Column("date", sa.Date(), nullable=True),
        sa.Column("event", sa.Text(), nullable=True),
        sa.Column("how", sa.Text(), nullable=True),
        sa.Column("treatment", sa.Text(), nullable=True),
        sa.Column("plants", sa.Double(), nullable=True),
        sa.Column("hardened_days", sa.Double(), nullable=True),
        sa.Column("union_cm", sa.Double(), nullable=True),
        sa.Column("clip_removed", sa.Text(), nullable=True),
        sa.Column("height_cm", sa.Double(), nullable=True),
        sa.Column("recorded_by", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("sent", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["sheet_id"], ["sheet.sheet_id"], name=op.f("fk_planting_row_sheet_id_sheet")
        ),
        sa.PrimaryKeyConstraint("row_id", name=op.f("pk_planting_row")),
    )
    op.create_index(op.f("ix_planting_row_sheet_id"), "planting_row", ["sheet_id"], unique=False)
    op.create_index("ix_planting_row_site_season", "planting_row", ["site", "season"], unique=False)
    op.create_table(
        "sheet_part",
        sa.Column("sheet_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("site", sa.Text(), nullable=False),
        sa.Column("chain", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("keys", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["sheet_id"], ["sheet.sheet_id"], name=op.f("fk_sheet_part_sheet_id_sheet")),
        sa.PrimaryKeyConstraint("sheet_id", "site", "chain", name=op.f("pk_sheet_part")),
    )
    op.create_index("ix_sheet_part_chain", "sheet_part", ["chain"], unique=False)
    op.create_index("ix_sheet_part_site_kind", "sheet_part", ["site", "kind"], unique=False)
    op.create_table(
        "soil_row",
        sa.Column("row_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sheet_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("line", sa.Integer(), nullable=False),
        sa.Column("season", sa.Text(), nullable=True),
        sa.Column("key", sa.Text(), nullable=True),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("entered", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("left", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("left_why", sa.String(length=20), nullable=True),
        sa.Column("successor", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("origin", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("decision_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("site", sa.Text(), nullable=True),
        sa.Column("date", sa.Date(), nullable=True),
        sa.Column("bed", sa.Text(), nullable=True),
        sa.Column("bed_type", sa.Text(), nullable=True),
        sa.Column("depth_cm", sa.Double(), nullable=True),
        sa.Column("ph", sa.Double(), nullable=True),
        sa.Column("ph_in", sa.Text(), nullable=True),
        sa.Column("organic_matter_pct", sa.Double(), nullable=True),
        sa.Column("sand_pct", sa.Double(), nullable=True),
        sa.Column("silt_pct", sa.Double(), nullable=True),
        sa.Column("clay_pct", sa.Double(), nullable=True),
        sa.Column("p_ppm", sa.Double(), nullable=True),
        sa.Column("p_method", sa.Text(), nullable=True),
        sa.Column("k_ppm", sa.Double(), nullable=True),
        sa.Column("lead_ppm", sa.Double(), nullable=True),
        sa.Column("lab", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("sent", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["sheet_id"], ["sheet.sheet_id"], name=op.f("fk_soil_row_sheet_id_sheet")),
        sa.PrimaryKeyConstraint("row_id", name=op.f("pk_soil_row")),
    )
    op.create_index(op.f("ix_soil_row_sheet_id"), "soil_row", ["sheet_id"], unique=False)
    op.create_index("ix_soil_row_site_season", "soil_row", ["site", "season"], unique=False)
