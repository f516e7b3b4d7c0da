"""A stay for every test of the bench."""

import pytest
from sqlalchemy import Engine

from tests.bench.stay import Stay, stay


@pytest.fixture
def here(book: Engine) -> Stay:
    """The stay that is worked on."""
    return stay(book)
