"""Measure one picture, with what the person pointed at."""

from ..worker import Json, Tell


def run(order: Json, tell: Tell) -> Json:
    """Measure the picture ``media.picture``."""
    raise NotImplementedError
