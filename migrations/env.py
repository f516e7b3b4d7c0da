"""Alembic's way in: the connection comes from `app.ground.migrating`, the tables from the rooms."""

import sqlmodel
from alembic import context

import app.accounts.tables
import app.bench.tables
import app.canvas.tables
import app.estimate.tables
import app.handover.tables
import app.inspection.tables
import app.intake.tables
import app.parts.tables
import app.post.tables  # noqa: F401 - the tables register themselves

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=sqlmodel.SQLModel.metadata,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
