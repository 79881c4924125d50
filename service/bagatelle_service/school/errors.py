"""What can be wrong with what somebody asks of a school. None of these knows HTTP."""


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


class KeyReusedError(SchoolError):
    """An Idempotency-Key came again with another request."""


class AnswerErasedError(SchoolError):
    """The kept answer to an Idempotency-Key was erased with the student whom it was about."""


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
