"""Pieces taken over from an earlier canvas order: each names the piece whose measures it was made from.

A column added in place: a batch would rebuild the table that photos and the pieces themselves refer to.
"""

from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.execute("ALTER TABLE canvaspiece ADD COLUMN taken_from_id INTEGER REFERENCES canvaspiece (id)")


def downgrade() -> None:
    with op.batch_alter_table("canvaspiece", schema=None) as batch_op:
        batch_op.drop_column("taken_from_id")
