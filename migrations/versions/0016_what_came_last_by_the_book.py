"""What came last is told by the book: rows bear the number of the act that made them, looks and jobs too.

A machine's clock can be set back between a clearance and a worse look; the acts of the book cannot change
places. What stands already has the time of its act, so the receipt of that time gives the number. Columns
added in place: a batch would rebuild tables that others refer to.
"""

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None

MADE = (
    "walk",
    "takenback",
    "consent",
    "benchrecord",
    "clearance",
    "canvasstage",
    "canvasinspection",
    "finalcheck",
)
ACT = ("id", "created_at")
COLUMNS = (
    *((table, "entry", "created_at") for table in MADE),
    ("finding", "looked_entry", "looked_at"),
    ("job", "begun_entry", "begun_at"),
    ("job", "finished_entry", "finished_at"),
)


def upgrade() -> None:
    op.create_index("receipt_by_time", "receipt", ["created_at"])  # for as long as the rows are filled
    for table, column, at in COLUMNS:
        op.execute(f"ALTER TABLE {table} ADD COLUMN {column} INTEGER NOT NULL DEFAULT 0")
        op.execute(f"DROP TRIGGER IF EXISTS {table}_no_update")  # made again at the end of every start
        _fill(table, column, at)
    op.drop_index("receipt_by_time", "receipt")


def _fill(table: str, column: str, at: str) -> None:
    """The newest act of a row's instant; without one, the last before it; 0 where none is."""
    kept, act = sa.table(table, sa.column(column), sa.column(at)), sa.table("receipt", *map(sa.column, ACT))
    at_it, made = kept.c[at], act.c.created_at
    same = sa.select(sa.func.max(act.c.id)).where(made == at_it).scalar_subquery()
    before = sa.select(act.c.id).where(made < at_it).order_by(made.desc(), act.c.id.desc()).limit(1)
    entry = sa.func.coalesce(same, before.scalar_subquery(), 0)
    op.execute(sa.update(kept).where(at_it.is_not(None)).values({column: entry}))


def downgrade() -> None:
    for table, column, _ in COLUMNS:
        op.execute(f"ALTER TABLE {table} DROP COLUMN {column}")
