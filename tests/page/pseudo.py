"""A language made by machine: English with every letter changed, so that what is not translated is seen."""

import re
import string
from pathlib import Path

from tests.page.browsing import Browser

from whirlwise.cli.page.translating.folder import SENTENCES, WORDS
from whirlwise.cli.page.translating.writing import write_folder

OTHER_LETTERS = str.maketrans(string.ascii_letters, "àƀçđéƒĝĥîĵķļɱñöþɋřšţûṽŵẋýžÀɃÇĐÉƑĜĤÎĴĶĻṀÑÖÞɊŘŠŢÛṼŴẊÝŽ")
#: A line of either file that is to be filled in; in the words, the English stands in the line above.
SENTENCE = re.compile(r'^("(.+)") = ""$', re.MULTILINE)
WORD = re.compile(r'^# "(.*)"\n(.+) = ""$', re.MULTILINE)
#: Units, which are written alike in many languages, and a code that coins are known by.
UNITS = "mm|cm|m|in|yd|g|oz|lb|s|h|min|tex|m/100g|yd/lb|[A-Z]{3}-[\\d.]+"
#: Everything that somebody may see, hear or find on the page; a drawing that was lettered has no text.
READ = """
    const left = "script, noscript, style, template, code, .address";
    const texts = [];
    const walker = document.createTreeWalker(document.documentElement, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
      if (!walker.currentNode.parentElement.closest(left)) texts.push(walker.currentNode.textContent);
    }
    for (const each of document.querySelectorAll("*")) {
      for (const name of ["aria-label", "alt", "title", "placeholder", "data-label"]) {
        if (each.hasAttribute(name)) texts.push(each.getAttribute(name));
      }
    }
    return texts;
"""


def changed(text: str) -> str:
    r"""Change all letters that are not in braces, nor behind a backslash.

    Examples
    --------
    >>> changed("The {1} of {name}\\n")
    'Ţĥé {1} öƒ {name}\\n'
    """
    parts = re.split(r"(\{\w+\}|\\.)", text)
    return "".join(part if k % 2 else part.translate(OTHER_LETTERS) for k, part in enumerate(parts))


def write_language(folder: Path) -> Path:
    """Fill in a translator's folder."""
    write_folder(folder)
    words, sentences = folder / WORDS, folder / SENTENCES
    text = words.read_text(encoding="utf-8").replace('language = ""', 'language = "eo"')
    filled = WORD.sub(lambda line: f'{line[2]} = "{changed(line[1])}"', text)
    words.write_text(filled, encoding="utf-8")
    text = sentences.read_text(encoding="utf-8")
    filled = SENTENCE.sub(lambda line: f'{line[1]} = "{changed(line[2])}"', text)
    sentences.write_text(filled, encoding="utf-8")
    return folder


def english_in(texts: list[str], names: tuple[str, ...] = ()) -> list[str]:
    """Give the texts that hold English words besides units, and names that somebody gave."""
    known = re.compile("|".join(rf"(?<!\w)(?:{each})(?!\w)" for each in (UNITS, *map(re.escape, names))))
    return sorted({text for text in texts if re.search(r"[A-Za-z]{2,}", known.sub("", text))})


def english_on(browser: Browser, *names: str) -> list[str]:
    """Give what stands in English on the screen that is open."""
    return english_in(browser.run(READ), names)
