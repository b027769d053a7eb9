"""What a worker can do, by kind of job. These modules are loaded by workers alone."""

from typing import Final

_HERE: Final = "whirlwise.cli.page.tasks"

#: The function that does each kind of job.
TASKS: Final = {
    "photo": f"{_HERE}.photo:run",
    "clip": f"{_HERE}.clip:run",
    "slip": f"{_HERE}.slip:run",
}
#: Loaded by a worker before it is asked for anything.
WARM: Final = (f"{_HERE}.photo", f"{_HERE}.clip")
