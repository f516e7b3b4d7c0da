"""Papers handed over by e-mail: to whom, and what came of it."""

import sqlalchemy as sa
import sqlmodel
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "mailing",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("created_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("document_id", sa.Integer(), nullable=False),
        sa.Column("receiver", sqlmodel.sql.sqltypes.AutoString(), nullable=False),
        sa.Column("words", sqlmodel.sql.sqltypes.AutoString(), nullable=False),
        sa.Column("sender", sqlmodel.sql.sqltypes.AutoString(), nullable=False),
        sa.Column("sent_by", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["document_id"],
            ["document.id"],
        ),
        sa.ForeignKeyConstraint(
            ["sent_by"],
            ["person.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("mailing", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_mailing_document_id"), ["document_id"], unique=False)

    op.create_table(
        "mailingend",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("created_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("mailing_id", sa.Integer(), nullable=False),
        sa.Column("outcome", sqlmodel.sql.sqltypes.AutoString(), nullable=False),
        sa.Column("says", sqlmodel.sql.sqltypes.AutoString(), nullable=False),
        sa.ForeignKeyConstraint(
            ["mailing_id"],
            ["mailing.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("mailingend", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_mailingend_mailing_id"), ["mailing_id"], unique=False)


def downgrade() -> None:
    with op.batch_alter_table("mailingend", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_mailingend_mailing_id"))

    op.drop_table("mailingend")
    with op.batch_alter_table("mailing", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_mailing_document_id"))

    op.drop_table("mailing")
