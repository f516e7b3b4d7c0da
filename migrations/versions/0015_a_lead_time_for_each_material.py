"""Film, screens, zippers and fasteners have lead times of their own; before, the cloth's held for all.

A column added in place: a batch would rebuild a table whose rows are never changed.
"""

from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.execute("ALTER TABLE canvashours ADD COLUMN others TEXT NOT NULL DEFAULT '{}'")


def downgrade() -> None:
    with op.batch_alter_table("canvashours", schema=None) as batch_op:
        batch_op.drop_column("others")
