"""The stay of the bench's tests, for the floor's."""

from tests.bench.conftest import here as here  # a fixture, found by its name
