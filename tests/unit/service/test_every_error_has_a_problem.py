"""No error that a caller can meet falls through to the problem of last resort."""

import pytest
from bagatelle.model import errors
from bagatelle.model.errors import BagatelleError
from bagatelle_service.api import problems
from bagatelle_service.api.errors import problem_of

EXAMPLES: dict[type[BagatelleError], BagatelleError] = {
    errors.InvalidInputError: errors.InvalidInputError((errors.FieldError(pointer="/date", message="no"),)),
    errors.MalformedJsonError: errors.MalformedJsonError("line 1"),
    errors.NotMoreTimeError: errors.NotMoreTimeError(1, 0, least_seconds=300, given_seconds=200),
    errors.NotShortError: errors.NotShortError(0.8, 0.5),
    errors.NothingFitsError: errors.NothingFitsError("waltz", 300),
    errors.NoShortDayFitsError: errors.NoShortDayFitsError(
        "waltz", "/routine/blocks/0/tasks/0", needed_seconds=330, largest_seconds=300
    ),
    errors.NothingAllowedError: errors.NothingAllowedError(),
    errors.NotSpecificError: errors.NotSpecificError(()),
    errors.UnknownExerciseError: errors.UnknownExerciseError("piano.nothing"),
    errors.PluginError: errors.PluginError("piano", "bagatelle_material", "piano.trill", "raised"),
}


def test_there_is_an_example_of_each() -> None:
    kinds = {
        kind
        for kind in vars(errors).values()
        if isinstance(kind, type) and issubclass(kind, BagatelleError) and kind is not BagatelleError
    }
    assert kinds == set(EXAMPLES)


@pytest.mark.parametrize("error", EXAMPLES.values(), ids=lambda error: type(error).__name__)
def test_each_is_a_problem_of_its_own(error: BagatelleError) -> None:
    assert problem_of(error, "some-request").type != problems.INTERNAL.uri
