"""Whether routines can be planned: the engine is asked, and what it refuses is given back."""

from collections.abc import Iterable
from datetime import date

import msgspec
from bagatelle.model.errors import FieldError

from bagatelle_service.api import problems
from bagatelle_service.api.errors import problem_of
from bagatelle_service.engine_questions import Ask
from bagatelle_service.school.routine_document import RoutineContent, planning_request

Verdict = tuple[FieldError, ...]
"""What is wrong with a routine; nothing where it can be planned."""


class Plannable:
    """Asks about many routines, about each content once."""

    def __init__(self, ask: Ask, day: date) -> None:
        self._ask = ask
        self._day = day
        self._verdicts: dict[bytes, Verdict] = {}

    async def look_at(self, contents: Iterable[RoutineContent]) -> None:
        """Ask about each; one after the other, so that others are answered in between."""
        for content in contents:
            request = self._request(content)
            if request not in self._verdicts:
                self._verdicts[request] = await self._verdict(request)

    def verdict(self, content: RoutineContent) -> Verdict | None:
        """Say what is wrong with a routine; None where nobody asked about it."""
        return self._verdicts.get(self._request(content))

    def _request(self, content: RoutineContent) -> bytes:
        return msgspec.json.encode(planning_request(content, self._day))

    async def _verdict(self, request: bytes) -> Verdict:
        try:
            await self._ask("check_plannable", request)
        except Exception as error:
            # Its problem says whether the routine is to blame; what else went wrong goes on as it is.
            problem = problem_of(error, "")
            if problem.status != problems.INVALID_INPUT.status:
                raise
            if not problem.errors:
                return (FieldError(pointer="", message=problem.detail),)
            return tuple(
                FieldError(pointer=wrong.pointer, message=wrong.message, accepted=wrong.accepted)
                for wrong in problem.errors
            )
        return ()
