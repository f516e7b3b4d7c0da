"""What is added to an edge of canvas is kept as `added`: it may be typed in inches, so `mm` was no name."""

import json
from collections.abc import Mapping

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

Edges = Mapping[str, Mapping[str, str]]


def upgrade() -> None:
    _rename("mm", "added")


def downgrade() -> None:
    _rename("added", "mm")


def _rename(old: str, new: str) -> None:
    book = op.get_bind()
    kept = sa.text("UPDATE canvaspiece SET edges = :edges WHERE id = :id")
    for key, edges in book.execute(sa.text("SELECT id, edges FROM canvaspiece")).all():
        renamed = {side: _renamed(said, old, new) for side, said in json.loads(edges).items()}
        book.execute(kept, {"id": key, "edges": json.dumps(renamed)})


def _renamed(said: Mapping[str, str], old: str, new: str) -> dict[str, str]:
    return {new if name == old else name: text for name, text in said.items()}
