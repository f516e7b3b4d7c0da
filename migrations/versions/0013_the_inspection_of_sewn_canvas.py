"""The inspection of sewn canvas: sizes, seams and water, as read."""

import sqlalchemy as sa
import sqlmodel
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "canvasinspection",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("created_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("canvas_order_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("drawn", sa.JSON(), nullable=False),
        sa.Column("readings", sa.JSON(), nullable=False),
        sa.Column("made_by", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["canvas_order_id"],
            ["canvasorder.id"],
        ),
        sa.ForeignKeyConstraint(
            ["made_by"],
            ["person.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    with op.batch_alter_table("canvasinspection", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_canvasinspection_canvas_order_id"), ["canvas_order_id"], unique=False
        )


def downgrade() -> None:
    with op.batch_alter_table("canvasinspection", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_canvasinspection_canvas_order_id"))

    op.drop_table("canvasinspection")
