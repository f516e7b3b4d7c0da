"""The work that prices a canvas order.

A column added in place: a batch would rebuild the table that parts, pieces and releases refer to. Where the
work is taken off the estimate before the owner saw it, the order is priced by nothing again.
"""

from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.execute("ALTER TABLE canvasorder ADD COLUMN work_id INTEGER REFERENCES work (id) ON DELETE SET NULL")


def downgrade() -> None:
    with op.batch_alter_table("canvasorder", schema=None) as batch_op:
        batch_op.drop_column("work_id")
