"""Which changes of a canvas order said nothing of its cloth: release and inspection stand through them.

A column added in place, since parts and pieces refer to the table. What was changed before counts as it did.
"""

from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.execute("ALTER TABLE canvasorder ADD COLUMN asides INTEGER NOT NULL DEFAULT 0")


def downgrade() -> None:
    op.execute("ALTER TABLE canvasorder DROP COLUMN asides")
