"""What a collection's table holds, in plain words."""

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from ..collection.row import FAILED, MEASURED, NOTHING, UNREADABLE, Row


def progress_line(row: Row, done: int, of: int) -> str:
    """Say which picture is finished, and what came out."""
    found = f"ratio {row['ratio']:g}" if isinstance(row.get("ratio"), float) else row["outcome"]
    return f"{done} of {of}: {str(row['file'])!r}, {found}"


def stopped_sentence(to: Path, done: int, of: int) -> str:
    """Say that the work was stopped and how it goes on."""
    return f"Stopped. {done} of {of} pictures are in {to}; the same command goes on from there."


def summary(to: Path, rows: Sequence[Row]) -> str:
    """Say how many pictures came out how."""
    counts = Counter(row["outcome"] for row in rows)
    words = {
        MEASURED: "measured",
        NOTHING: "with nothing trustworthy in them",
        UNREADABLE: "that cannot be read",
        FAILED: "on which the program failed",
    }
    parts = [f"{counts[outcome]} {word}" for outcome, word in words.items() if counts[outcome]]
    pictures = "picture" if len(rows) == 1 else "pictures"
    return f"{to} holds {len(rows)} {pictures}: {', '.join(parts)}. The column 'remarks' tells why."
