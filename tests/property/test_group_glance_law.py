"""A group at a glance never tells, even to whoever subtracts, of a part of fewer students than the least number."""

import random

from bagatelle.model.progress import GroupGlance, StudentSummary
from bagatelle.progress.glance import group_glance
from hypothesis import given
from hypothesis import strategies as st

SHORT_WEEKS = 3
STUDENTS = st.lists(
    st.builds(StudentSummary, plans_ready=st.booleans(), short_only_weeks=st.integers(0, 6)), max_size=24
)


@given(STUDENTS, st.integers(1, 8))
def test_nobody_finds_a_small_part(students: list[StudentSummary], least: int) -> None:
    glance = group_glance(students, SHORT_WEEKS, least)
    shown = [count for count in counts(glance) if count is not None]
    assert all(count >= least for count in shown)
    # Whoever knows how many are in the group, withheld or not, finds the rest of each part.
    parts = [glance.plans_ready, glance.plans_missing, glance.short_only]
    assert all(len(students) - part >= least for part in parts if part is not None)
    assert (glance.plans_ready is None) == (glance.plans_missing is None)


@given(STUDENTS, st.integers(1, 8))
def test_what_is_shown_is_true_and_what_is_safe_is_shown(students: list[StudentSummary], least: int) -> None:
    glance = group_glance(students, SHORT_WEEKS, least)
    ready = sum(student.plans_ready for student in students)
    short_only = sum(student.short_only_weeks >= SHORT_WEEKS for student in students)
    size = len(students)
    assert glance.students == (size if size >= least else None)
    assert glance.plans_ready == (ready if least <= ready <= size - least else None)
    assert glance.plans_missing == (size - ready if least <= ready <= size - least else None)
    assert glance.short_only == (short_only if least <= short_only <= size - least else None)


@given(STUDENTS, st.integers(1, 8), st.randoms(use_true_random=False))
def test_no_student_comes_before_another(
    students: list[StudentSummary], least: int, chance: random.Random
) -> None:
    shuffled = chance.sample(students, len(students))
    assert group_glance(shuffled, SHORT_WEEKS, least) == group_glance(students, SHORT_WEEKS, least)


def counts(glance: GroupGlance) -> list[int | None]:
    """Return every count of a glance."""
    return [glance.students, glance.plans_ready, glance.plans_missing, glance.short_only]
