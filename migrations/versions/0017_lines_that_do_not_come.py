"""What of a purchase line is not coming any more; before, only a whole order could be given up.

A column added in place, since movements refer to the table.
"""

from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.execute("ALTER TABLE purchaseline ADD COLUMN given_up INTEGER NOT NULL DEFAULT 0")


def downgrade() -> None:
    op.execute("ALTER TABLE purchaseline DROP COLUMN given_up")
