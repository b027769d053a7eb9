"""Misuse and files that cannot be read. Everything that can be expected of a good file is no error."""


class UnreadableFileError(OSError):
    """A file that cannot be opened as what it was given as; the message says what to do."""


class WrongHintError(ValueError):
    """A click, a reference or a length that cannot be meant; the message says what was expected."""
