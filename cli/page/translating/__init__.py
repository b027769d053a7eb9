"""The page in another language: its words, and the sentences that the program's other parts say on it.

::

    gathering.py   finds the sentences in the source of the modules that the page's workers import
    drawings.py    finds the words in the drawings of the guides, and says them where those are shown
    patterns.py    sentences with holes, such as "The rim is {1} mm wide."
    writing.py     makes a translator's folder, and brings one up to date (``__main__.py`` is its command)
    folder.py      reads the folder; what is wrong in it is told in a sentence
    matching.py    finds the pattern that a sentence fits, and says it in the other language
    documents.py   says what people read of a worker's outcome, or of a report

Sentences stay where they are said, in English, and so do readings that are kept. In English none of this is
asked. In another language ``State.said`` and ``State.told`` are the edge at which the server says what
workers told; drawings and reports are made whole by workers, in the language that ``show/language.py`` holds
meanwhile.
"""
