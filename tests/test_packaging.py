"""The house: what is shipped, who may import whom, and whether every example in a docstring holds."""

import ast
import doctest
import importlib
import pkgutil
import re
import tomllib
from importlib import resources
from pathlib import Path

import pytest

from whirlwise import calc, cli, vision
from whirlwise.cli import guide

ROOT = Path(__file__).parents[1]
FOLDERS = ("vision", "calc", "cli", "sample_media")
FORBIDDEN = {"vision": {"calc", "cli"}, "calc": {"vision", "cli"}, "cli": set[str]()}
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def test_every_package_on_disk_is_shipped() -> None:
    on_disk = {
        ".".join(["whirlwise", *init.parent.relative_to(ROOT).parts])
        for folder in FOLDERS
        for init in (ROOT / folder).rglob("__init__.py")
    }
    assert set(PROJECT["tool"]["setuptools"]["packages"]) == on_disk


def test_every_folder_with_modules_is_a_package() -> None:
    loose = {
        str(module.parent.relative_to(ROOT))
        for folder in FOLDERS
        for module in (ROOT / folder).rglob("*.py")
        if not (module.parent / "__init__.py").exists()
    }
    assert loose == set()


def rooms_imported_by(module: Path) -> set[str]:
    """Name the rooms of the house that a module reaches into, wherever in the file it imports."""
    here = ("whirlwise", *module.relative_to(ROOT).parent.parts)
    found: set[str] = set()
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            targets = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(here[: len(here) - node.level + 1]) if node.level else ""
            stem = ".".join(part for part in (base, node.module) if part)
            targets = [stem, *(f"{stem}.{alias.name}" for alias in node.names)]
        else:
            continue
        found |= {
            parts[1]
            for target in targets
            if (parts := target.split("."))[0] == "whirlwise" and len(parts) > 1
        }
    return found


@pytest.mark.parametrize("room", list(FORBIDDEN))
def test_rooms_keep_to_their_imports(room: str) -> None:
    trespassers = {
        str(module.relative_to(ROOT)): sorted(reached)
        for module in (ROOT / room).rglob("*.py")
        if (reached := rooms_imported_by(module) & FORBIDDEN[room])
    }
    assert trespassers == {}


def test_what_finds_and_fits_knows_nothing_of_readings() -> None:
    """Data flows one way: the folders of vision never import the measurements or what these return."""
    vision_room = ROOT / "vision"
    tops = {path.stem for path in vision_room.glob("*.py")} - {"__init__", "errors", "measured"}
    backwards = {
        f"{module.relative_to(ROOT)}: {node.module}"
        for module in vision_room.glob("*/*.py")
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and node.level == 2 and node.module in tops
    }
    assert "clip_reading" in tops
    assert backwards == set()


def test_the_import_rule_sees_what_it_must() -> None:
    # A check that cannot fail checks nothing: cli reaches into both other rooms, by relative imports.
    assert {"vision", "calc"} <= rooms_imported_by(ROOT / "cli" / "commands" / "photo.py")


def modules() -> list[str]:
    return [
        found.name
        for room in (vision, calc, cli)
        for found in pkgutil.walk_packages(room.__path__, prefix=f"{room.__name__}.")
    ]


@pytest.mark.parametrize("name", modules())
def test_examples_in_docstrings(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_typing_markers_and_guides_are_shipped() -> None:
    for room in (vision, calc, cli):
        assert resources.files(room).joinpath("py.typed").is_file()
    assert {page.name for page in resources.files(guide).iterdir() if page.name.endswith(".md")} == {
        "photo.md",
        "clip.md",
        "questions.md",
    }


def test_readme_has_two_commands_and_ci_runs_the_second() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    commands = re.findall(r"```sh\n(.+?)\n```", readme, re.DOTALL)
    assert len(commands) == 2
    assert all("\n" not in command for command in commands)
    assert commands[1] in (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()


def test_changelog_knows_this_version() -> None:
    assert f"## {PROJECT['project']['version']}" in (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
