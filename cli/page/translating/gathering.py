"""The sentences that the page's workers may say, read from the source of the modules that they import.

A sentence stays where it is said, next to its reason; nothing marks it there. So it is told by where a string
stands: what is looked up, compared or handed to a library is a key, and so is a single word in code;
everything else may reach a person.
"""

import ast
from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from typing import Final, TypeAlias

from ..plain import plain
from .patterns import holes, is_for_people, sentences_in, with_named_holes

Gathered: TypeAlias = dict[str, list[str]]

#: The folder that holds vision, calc and cli.
ROOT: Final = Path(str(resources.files("whirlwise.cli"))).parent
#: It begins every command, the page's workers too, and what else it imports is not theirs.
EVERY_COMMAND: Final = "app.py"
#: It turns options into words of the page, which are gathered with those.
ALREADY_WORDS: Final = "plain.py"
#: What these are given is for the program: options of commands, patterns, files, faults of ours.
FOR_THE_PROGRAM: Final = {
    *("Option", "Argument", "compile", "sub", "match", "fullmatch", "search", "findall", "split", "get"),
    *("pop", "getattr", "encode", "decode", "startswith", "endswith", "removeprefix", "removesuffix", "open"),
    *("read_text", "write_text", "filterwarnings", "TypeVar", "KeyError", "TypeError", "RuntimeError"),
    *("tell", "words", "Namespace"),
}  # fmt: skip
#: What these are given may be said later.
OF_LISTS: Final = {"append", "extend", "join", "of_option"}
#: In other modules a single word is a key.
SAY_SINGLE_WORDS: Final = ("calc.", "vision.", "cli.show.", "cli.page.tasks.reckon")
#: A number that nobody says.
STAND_IN: Final = 7355608


def gathered() -> Gathered:
    """Give the patterns of all sentences, under the name of the module that says them, each once."""
    found: Gathered = {}
    known: set[str] = set()
    for path in sorted(modules_of_workers()):
        texts = texts_in(path.read_text(encoding="utf-8"))
        module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        said = dict.fromkeys(each for text in texts for each in _sentences(text))
        if fresh := [each for each in said if each not in known and _is_said(each, module)]:
            found[module] = fresh
            known.update(fresh)
    return found


def _is_said(sentence: str, module: str) -> bool:
    return " " in sentence or module.startswith(SAY_SINGLE_WORDS)


def _sentences(text: str) -> list[str]:
    """The sentences of a text as the page says them, without options and commands."""
    return [each for each in sentences_in(_plain(text)) if is_for_people(each)]


def _plain(text: str) -> str:
    """Say a pattern without options; meanwhile numbers stand in its holes, as they do when it is said."""
    found = holes(text)
    for number, hole in enumerate(found):
        text = text.replace(f"{{{hole}}}", f"{STAND_IN}{number:02}")
    text = plain(text)
    for number, hole in enumerate(found):
        text = text.replace(f"{STAND_IN}{number:02}", f"{{{hole}}}")
    return text


def modules_of_workers() -> set[Path]:
    """Find the modules that the tasks import, by whatever way; no other one says anything on the page."""
    found: set[Path] = set()
    waiting = list((Path(__file__).parents[1] / "tasks").glob("*.py"))
    while waiting:
        path = waiting.pop()
        if path not in found and path.exists() and path.name != ALREADY_WORDS:
            found.add(path)
            waiting += [] if path.name == EVERY_COMMAND else _imported(path)
    return found


def _imported(path: Path) -> Iterator[Path]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.level:
            place = path.parents[node.level - 1].joinpath(*(node.module or "").split("."))
            yield place.with_suffix(".py")
            yield from (place / f"{each.name}.py" for each in node.names)


def texts_in(source: str) -> list[str]:
    r"""List the texts for people in a module's source; f-strings have numbered holes.

    Examples
    --------
    >>> texts_in('def f(n):\n    "Not this."\n    return f"It is {n:.1f} mm wide."')
    ['It is {1} mm wide.']
    """
    reader = _Reader()
    reader.visit(ast.parse(source))
    return reader.found


class _Reader(ast.NodeVisitor):
    """Walks through a module and passes by what only the program reads."""

    def __init__(self) -> None:
        self.found: list[str] = []

    def visit_Constant(self, node: ast.Constant) -> None:
        if isinstance(node.value, str):
            self.found.append(with_named_holes(node.value))

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        self.found.append(_with_holes(node))
        for part in node.values:
            if isinstance(part, ast.FormattedValue):
                self.visit(part.value)

    def visit_Expr(self, node: ast.Expr) -> None:
        # A string that stands by itself is a docstring.
        if not isinstance(node.value, ast.Constant):
            self.generic_visit(node)

    def visit_Compare(self, node: ast.Compare) -> None:
        """What is compared is a key."""

    def visit_Subscript(self, node: ast.Subscript) -> None:
        self.visit(node.value)
        if _is_phrase(node.slice):
            self.visit(node.slice)

    def visit_Dict(self, node: ast.Dict) -> None:
        for each in (*filter(_is_phrase, node.keys), *node.values):
            if each is not None:
                self.visit(each)

    def visit_match_case(self, node: ast.match_case) -> None:
        for each in node.body:
            self.visit(each)

    def visit_Assign(self, node: ast.Assign) -> None:
        if getattr(node.targets[0], "id", "") != "__all__":
            self.generic_visit(node)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self.visit(node.value)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        for each in node.body:
            self.visit(each)

    def visit_Call(self, node: ast.Call) -> None:
        of_something = isinstance(node.func, ast.Attribute)
        called = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        self.visit(node.func)
        if called in FOR_THE_PROGRAM:
            return
        for each in node.args:
            # Libraries are told by a word how to do what they do.
            if not (of_something and called not in OF_LISTS and _is_word(each)):
                self.visit(each)
        for keyword in node.keywords:
            if not _is_word(keyword.value):
                self.visit(keyword.value)


def _is_phrase(node: ast.expr | None) -> bool:
    """Whether something that is looked up by is said too."""
    texts = node.values if isinstance(node, ast.JoinedStr) else [node]
    return any(isinstance(each, ast.Constant) and " " in str(each.value) for each in texts)


def _is_word(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str) and " " not in node.value


def _with_holes(node: ast.JoinedStr) -> str:
    """Write an f-string as a pattern; what is put in side by side leaves one hole."""
    text, holes = "", 0
    for part in node.values:
        if isinstance(part, ast.Constant):
            text += str(part.value)
        elif not text.endswith("}"):
            holes += 1
            text += f"{{{holes}}}"
    return text
