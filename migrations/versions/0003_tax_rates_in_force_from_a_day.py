"""Tax rates in force from a day.

What the shop had set becomes the first rate of each category, in force on every day that the book names.
Downgrading drops the rates, and the shop is back at those that it was opened with.
"""

import sqlalchemy as sa
import sqlmodel
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

CATEGORIES = ("parts", "labour", "outside", "supplies", "disposal")
FIRST = (
    "INSERT INTO shoptax (created_at, category, first_day, percent) "
    "SELECT created_at, :category, '1970-01-01', CAST(json_extract(settings, :path) AS TEXT) "
    "FROM shop WHERE json_extract(settings, :path) IS NOT NULL"
)
GONE = "UPDATE shop SET settings = json_remove(settings, :path)"


def upgrade() -> None:
    op.create_table(
        "shoptax",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("created_at", sqlmodel.sql.sqltypes.UTCDateTime(), nullable=False),
        sa.Column("category", sqlmodel.sql.sqltypes.AutoString(), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=False),
        sa.Column("percent", sqlmodel.sql.sqltypes.AutoString(), nullable=False),
        sa.Column("set_by", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["set_by"], ["person.id"]),
        sa.PrimaryKeyConstraint("id"),
        sqlite_strict=True,
    )
    for category in CATEGORIES:
        names = {"category": category, "path": f"$.tax_{category}"}
        op.get_bind().execute(sa.text(FIRST), names)
        op.get_bind().execute(sa.text(GONE), {"path": names["path"]})


def downgrade() -> None:
    op.drop_table("shoptax")
