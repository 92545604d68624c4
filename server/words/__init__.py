"""Every sentence about air and wood. Others make a :class:`Sentence`; :func:`render` says it in a language."""

from server.words.functions import Language, Units
from server.words.loader import Words, WordsError, languages
from server.words.sentence import Sentence, When, render
from server.words.telling import Telling

__all__ = ["Language", "Sentence", "Telling", "Units", "When", "Words", "WordsError", "languages", "render"]
