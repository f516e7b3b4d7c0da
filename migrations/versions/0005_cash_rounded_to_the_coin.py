"""Cash rounded to the coin: what it left off a payment; nothing on those noted before."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("payment", schema=None) as batch_op:
        batch_op.add_column(sa.Column("rounded", sa.Integer(), nullable=False, server_default="0"))


def downgrade() -> None:
    with op.batch_alter_table("payment", schema=None) as batch_op:
        batch_op.drop_column("rounded")
