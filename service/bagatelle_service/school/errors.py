"""What can be wrong with what somebody asks of a school. None of these knows HTTP."""

from bagatelle.model.errors import FieldError


class SchoolError(Exception):
    """The base of them; the text is for whoever asked."""


class NotAdmittedError(SchoolError):
    """No token, or one that opens nothing."""


class NotAllowedError(SchoolError):
    """The caller is known, and may not do this."""


class MissingError(SchoolError):
    """Nothing of that id is within the caller's school."""

    def __init__(self, thing: str, known_by: str = "id") -> None:
        self.thing = thing
        super().__init__(f"There is no {thing} of that {known_by}.")


class TakenError(SchoolError):
    """Something unique is taken already."""


class SpentError(SchoolError):
    """An invitation was used, taken back, or is too old."""


class NoMatchGivenError(SchoolError):
    """A change came without the revision that it is a change of."""


class ChangedMeanwhileError(SchoolError):
    """A change came with another revision than the newest."""


class NotPreparedError(SchoolError):
    """A day needs a prepared plan, and there is none that may be used. The text says what to do."""


class WrongDateError(SchoolError):
    """A date that no sheet can be made for."""

    def __init__(self, message: str, accepted: str) -> None:
        self.message = message
        self.accepted = accepted
        super().__init__(message)


class NoSigningKeyError(SchoolError):
    """The service has no key to sign with."""

    def __init__(self) -> None:
        super().__init__(
            "This service was not given a key to sign bundles with: whoever runs it makes one by `bagatelle "
            "signing-key` and names its file in BAGATELLE_SIGNING_KEY_FILE."
        )


class KeyReusedError(SchoolError):
    """An Idempotency-Key came again with another request."""


class AnswerErasedError(SchoolError):
    """The kept answer to an Idempotency-Key was erased with the student whom it was about."""


class RemovedError(SchoolError):
    """What has the id was removed; it stays so, whoever sends it again."""


class StoredOtherwiseError(SchoolError):
    """Something of these ids is stored with other content."""

    def __init__(self, errors: tuple[FieldError, ...]) -> None:
        self.errors = errors
        super().__init__("Other content is stored under some of the ids; nothing was stored.")


class TooManyRequestsError(SchoolError):
    """The minute's permits are used up."""

    def __init__(self, limit: int, wait_seconds: int, who: str = "This token") -> None:
        self.wait_seconds = wait_seconds
        super().__init__(f"{who} may ask {limit} times a minute. Try again in {wait_seconds} seconds.")


class NoIssuerError(SchoolError):
    """The service knows no outside issuer of tokens."""


class IssuerOutOfReachError(SchoolError):
    """The outside issuer of tokens does not answer, or not with keys."""

    def __init__(self) -> None:
        super().__init__("The issuer of the token does not answer, so the token cannot be checked.")
