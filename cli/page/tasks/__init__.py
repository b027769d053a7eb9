"""What a worker can do, by kind of job: a function, or a class whose object stays with the worker.

These modules are loaded by workers alone.
"""

from typing import Final

_HERE: Final = "whirlwise.cli.page.tasks"

#: What does each kind of job.
TASKS: Final = {
    "photo": f"{_HERE}.photo:Measuring",
    "clip": f"{_HERE}.clip:run",
    "slip": f"{_HERE}.slip:run",
    "rhythm": f"{_HERE}.rhythm:run",
    "reckon": f"{_HERE}.reckon:run",
    "wheel": f"{_HERE}.wheel:show",
    "wheel-add": f"{_HERE}.wheel:add",
    "wheel-withdraw": f"{_HERE}.wheel:withdraw",
    "wheel-undo": f"{_HERE}.wheel:undo",
    "wheel-restore": f"{_HERE}.wheel:restore",
    "wheel-export": f"{_HERE}.wheel:export",
    "wheel-report": f"{_HERE}.wheel:report",
    "wheel-compare": f"{_HERE}.wheel:compare",
}
#: Loaded by a worker before it is asked for anything.
WARM: Final = (f"{_HERE}.photo", f"{_HERE}.clip", f"{_HERE}.reckon")
