"""What can go wrong when a message becomes a sentence."""

from bagatelle.model.errors import BagatelleError


class WordingError(BagatelleError):
    """A message cannot be put into words: its id, a parameter or a template is wrong. Names the message."""

    def __init__(self, message: str, reason: str) -> None:
        self.message = message
        self.reason = reason
        super().__init__(f"text {message!r}: {reason}")


class TemplateError(WordingError):
    """A template does not follow the grammar of `bagatelle.wording.template`."""
