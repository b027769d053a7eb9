"""The pictures that lie in a folder."""

import os
from pathlib import Path
from typing import Final

ENDINGS: Final = frozenset(
    {".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff", ".bmp", ".heic", ".heif", ".avif"}
)


def pictures_in(folder: Path) -> list[Path]:
    """Give all pictures in a folder and the folders in it, by name; what is hidden is left out.

    Raises
    ------
    OSError
        If the folder cannot be read; a folder in it that cannot is passed over.
    """
    os.scandir(folder).close()
    found: list[Path] = []
    for place, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        found += [
            Path(place, name)
            for name in sorted(files)
            if Path(name).suffix.lower() in ENDINGS and not name.startswith(".")
        ]
    return sorted(found)
