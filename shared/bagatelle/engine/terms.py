"""On what terms a budget is planned: which rules hold there, how low the floors are, who must be in it.

The duties, most important first: the body is prepared before what strains; what is pinned `always` is kept;
there is more than a warm-up; there is music; there are not too many tasks. Each gives way only where it cannot
be met together with those before it, with floors as low as they go. Then the floors fall only as far as the
duties that are left need. Last of all the routine's own warm-up opens the day, where nothing else falls for it.
"""

from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from bagatelle.engine.budget import NO_SLACK, Slack, part_of, playing_seconds_of
from bagatelle.engine.doses import usual_scale_of
from bagatelle.engine.least_plan import Demand, Time, is_feasible, smallest_visit
from bagatelle.engine.problem import Duties, Item, Problem
from bagatelle.model.vocabulary import FLOOR_MODES, FloorMode
from bagatelle.policy.table import Policy


class Routine(Struct, frozen=True, kw_only=True):
    """What one routine gives the solver, whatever the budget."""

    items: tuple[Item, ...]
    """The tasks that may be planned, in ascending order of id."""
    stand_in: Item | None
    """The catalogue's two-minute warm-up, where the instrument has one."""
    policy: Policy
    own_warm_up: str | None = None
    """The id of the warm-up of the routine that is to open the day."""
    slack: Slack = NO_SLACK
    """What the day leaves free of a window; the ladder's windows are like those of its day."""

    def playing_seconds(self, budget_seconds: int) -> int:
        """What a budget in one window holds of set-ups and doses, beside its slack and its rests."""
        return playing_seconds_of(budget_seconds - self.slack.seconds_of(budget_seconds), self.policy)


class Terms(Struct, frozen=True, kw_only=True):
    """The problem at one budget, and what had to give way for it."""

    problem: Problem
    uses_stand_in: bool
    unmet_pins: tuple[str, ...] = ()
    """Tasks pinned `always` that cannot all be kept."""
    unmet_music: bool = False
    unmet_preparing: bool = False
    own_warm_up: str | None = None
    """The warm-up of the routine that is kept to open the day."""
    unmet_own_warm_up: bool = False
    raised_limit: bool = False


def relaxed_terms(terms: Terms) -> Iterator[Terms]:
    """The same terms; then, for windows that can't hold them, without the own warm-up; music; pins; both."""
    yield terms
    if terms.own_warm_up is not None:
        terms = replace(_without_own_warm_up(terms), unmet_own_warm_up=True)
        yield terms
    problem = terms.problem
    pins = tuple(item.id for item in problem.items if item.must)
    unpinned = tuple(replace(item, must=False) for item in problem.items)
    no_music = replace(problem.duties, music=False)
    if problem.duties.music:
        yield replace(terms, problem=replace(problem, duties=no_music), unmet_music=True)
    if pins:
        yield replace(terms, problem=replace(problem, items=unpinned), unmet_pins=(*terms.unmet_pins, *pins))
        if problem.duties.music:
            yield replace(
                terms,
                problem=replace(problem, items=unpinned, duties=no_music),
                unmet_pins=(*terms.unmet_pins, *pins),
                unmet_music=True,
            )


def settle_terms(
    routine: Routine, budget_seconds: int, capacity_seconds: int, largest_visit_seconds: int
) -> Terms | None:
    """The terms at one budget; None where nothing fits at all.

    Parameters
    ----------
    routine
        The tasks.
    budget_seconds, capacity_seconds
        The budget, and what it holds of set-ups and doses.
    largest_visit_seconds
        The playing time of the longest window: a task that does not fit it is left aside.
    """
    time = _time(routine, budget_seconds, capacity_seconds, largest_visit_seconds)
    usual = Wishes(routine).terms(budget_seconds, capacity_seconds)
    if _is_possible(usual, time):
        return usual
    plain = _without_own_warm_up(usual)
    terms = plain if _is_possible(plain, time) else _with_trouble(routine, plain, time)
    if usual.own_warm_up is None or terms is None:
        return terms
    opened = _with_own_warm_up(terms, usual.own_warm_up)
    return opened if _is_possible(opened, time) else replace(terms, unmet_own_warm_up=True)


def _with_own_warm_up(terms: Terms, task: str) -> Terms:
    items = _must(terms.problem.items, _musts(terms.problem.items) | {task})
    return replace(terms, problem=replace(terms.problem, items=items), own_warm_up=task)


def _without_own_warm_up(terms: Terms) -> Terms:
    if terms.own_warm_up is None:
        return terms
    items = _must(terms.problem.items, _musts(terms.problem.items) - {terms.own_warm_up})
    return replace(terms, problem=replace(terms.problem, items=items), own_warm_up=None)


class Wishes:
    """What is asked of the plans of one routine while nothing has to give way."""

    def __init__(self, routine: Routine) -> None:
        self._routine = routine
        self._items = items = _first_items(routine)
        self._items_that_open = items
        self._opening_seconds = 0
        if routine.own_warm_up is not None:
            self._items_that_open = _must(items, _musts(items) | {routine.own_warm_up})
            opening = next(item for item in items if item.id == routine.own_warm_up)
            self._opening_seconds = smallest_visit(opening, "usual")
        self._prepare = any(item.prepares for item in items)
        self._music = any(item.music for item in items)
        self._more = any(not item.warm_up for item in items)
        self._uses_stand_in = routine.stand_in in items
        self.whole_seconds = _whole_seconds(routine.items)
        """What each thing takes on the usual day, one that prepares left aside."""

    def things(self, budget_seconds: int) -> int:
        """How many things a plan of that budget may hold: `task_limit`, or as many as usual in such a time.

        What comes as thick on the usual day does not crowd a short one.
        """
        return self._things(budget_seconds, self._routine.playing_seconds(budget_seconds))

    def _things(self, budget_seconds: int, playing_seconds: int) -> int:
        whole = self.whole_seconds
        as_usual = playing_seconds * len(whole) // max(sum(whole), 1)
        return max(task_limit(budget_seconds, self._routine.policy), min(as_usual, len(whole)))

    def terms(self, budget_seconds: int, capacity_seconds: int) -> Terms:
        """Every duty, usual floors. No plan may be legal on these terms."""
        policy = self._routine.policy
        playing = self._routine.playing_seconds(budget_seconds)
        opens = self._opens(budget_seconds, playing)
        problem = Problem(
            items=self._items_that_open if opens else self._items,
            budget_seconds=playing,
            capacity_seconds=capacity_seconds,
            floor_mode="usual",
            duties=Duties(
                prepare=self._prepare,
                music=self._music and budget_seconds >= policy.music_from_seconds,
                more=self._more,
                task_limit=self._things(budget_seconds, playing),
            ),
            curve=policy.curve,
        )
        own_warm_up = self._routine.own_warm_up if opens else None
        return Terms(problem=problem, uses_stand_in=self._uses_stand_in, own_warm_up=own_warm_up)

    def _opens(self, budget_seconds: int, playing_seconds: int) -> bool:
        """Whether the own warm-up is asked for: not of a day that it would eat."""
        policy = self._routine.policy
        if self._routine.own_warm_up is None or budget_seconds < policy.own_warm_up_from_seconds:
            return False
        return self._opening_seconds <= part_of(playing_seconds, policy.own_warm_up_share)


def _must(items: tuple[Item, ...], names: frozenset[str]) -> tuple[Item, ...]:
    """The items, these of which must be kept and no others."""
    return tuple(
        item if item.must == (item.id in names) else replace(item, must=item.id in names) for item in items
    )


def _musts(items: Sequence[Item]) -> frozenset[str]:
    return frozenset(item.id for item in items if item.must)


def _time(routine: Routine, budget: int, capacity: int, largest_visit: int) -> Time:
    playing = routine.playing_seconds(budget)
    return Time(budget=budget, playing=playing, capacity=capacity, largest_visit=largest_visit)


def task_limit(budget_seconds: int, policy: Policy) -> int:
    """`max(2, budget // 6 minutes)`."""
    return max(policy.least_task_limit, budget_seconds // policy.seconds_per_task)


def _whole_seconds(items: Sequence[Item]) -> tuple[int, ...]:
    """What each thing takes on the usual day, set-up and whole units; what prepares is no thing."""
    return tuple(item.set_up_seconds + usual_scale_of(item).ends[-1] for item in items if not item.prepares)


def _first_items(routine: Routine) -> tuple[Item, ...]:
    """With the stand-in from the start where the routine has nothing that prepares."""
    stand_in = routine.stand_in
    if stand_in is None or any(item.prepares for item in routine.items):
        return routine.items
    return _with_stand_in(routine)


def _with_stand_in(routine: Routine) -> tuple[Item, ...]:
    if routine.stand_in is None:
        return routine.items
    return tuple(sorted((*routine.items, routine.stand_in), key=lambda item: item.id))


def _is_possible(terms: Terms, time: Time) -> bool:
    """Whether a plan is legal on these terms, every visit within the longest window."""
    problem, duties = terms.problem, terms.problem.duties
    demand = Demand(
        prepare=duties.prepare,
        must=_musts(problem.items),
        music=duties.music,
        more=duties.more,
    )
    return is_feasible(problem.items, time, problem.floor_mode, demand, duties.task_limit)


def _with_trouble(routine: Routine, usual: Terms, time: Time) -> Terms | None:
    """Find which of the usual duties can be met together, then how far the floors fall for them."""
    items = _with_stand_in(routine)
    count = len(items)
    if not is_feasible(items, time, "unit", Demand(), count):
        return None
    pins = sorted(_musts(items))
    wants_preparing = any(item.prepares for item in items)
    wants_music = usual.problem.duties.music
    demand = Demand()
    for more in _duties_in_order(items, pins, prepare=wants_preparing, music=wants_music):
        asked = Demand(
            prepare=demand.prepare or more.prepare,
            must=demand.must | more.must,
            music=demand.music or more.music,
            more=demand.more or more.more,
        )
        if is_feasible(items, time, "unit", asked, count):
            demand = asked
    limit = usual.problem.duties.task_limit
    needed = next(n for n in range(1, count + 1) if is_feasible(items, time, "unit", demand, n))
    raised = max(limit, needed)
    mode = next(mode for mode in FLOOR_MODES if is_feasible(items, time, mode, demand, raised))
    if is_feasible(usual.problem.items, time, mode, demand, raised):
        items = usual.problem.items
    return replace(
        _terms(routine, items, demand, mode, raised, time),
        unmet_pins=tuple(pin for pin in pins if pin not in demand.must),
        unmet_music=wants_music and not demand.music,
        unmet_preparing=wants_preparing and not demand.prepare,
        raised_limit=raised > limit,
    )


def _duties_in_order(
    items: Sequence[Item], pins: Sequence[str], *, prepare: bool, music: bool
) -> Iterator[Demand]:
    """Most important first."""
    if prepare:
        yield Demand(prepare=True)
    for pin in pins:
        yield Demand(must=frozenset({pin}))
    if any(not item.warm_up for item in items):
        yield Demand(more=True)
    if music:
        yield Demand(music=True)


def _terms(
    routine: Routine, items: tuple[Item, ...], demand: Demand, mode: FloorMode, limit: int, time: Time
) -> Terms:
    problem = Problem(
        items=_must(items, demand.must),
        budget_seconds=time.playing,
        capacity_seconds=time.capacity,
        floor_mode=mode,
        duties=Duties(prepare=demand.prepare, music=demand.music, more=demand.more, task_limit=limit),
        curve=routine.policy.curve,
    )
    return Terms(problem=problem, uses_stand_in=routine.stand_in in items)
