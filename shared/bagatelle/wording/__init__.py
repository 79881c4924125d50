"""From message ids to sentences: templates with gaps, by locale; and the engine's own texts."""

from bagatelle.wording.errors import TemplateError, WordingError
from bagatelle.wording.render import Wording, engine_texts

__all__ = ("TemplateError", "Wording", "WordingError", "engine_texts")
