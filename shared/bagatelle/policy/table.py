"""Every number that the engine decides with, in one versioned table.

The values came from a prototype whose plans were read critically: floors and the rules decide whether a
plan is sensible, the weights hardly matter. Mend a silly plan with a rule that a teacher would say aloud, not
with a number here. A changed value needs a new `POLICY_VERSION`.
"""

from collections.abc import Mapping
from typing import Final

from msgspec import Struct, field
from msgspec.structs import asdict, replace

from bagatelle.model.errors import NotShortError
from bagatelle.model.request import PolicyChoices
from bagatelle.model.vocabulary import Concreteness, Divisibility, Energy, Pin, Stage, Strain

POLICY_VERSION: Final = "6"

_PRACTICE: Final = "common practice, no source"
_OWN: Final = "own choice, from reading the plans it makes"


class Policy(Struct, frozen=True, kw_only=True):
    """The numbers; see `policy_table` for what each means."""

    share: float = 0.25
    largest_share: float = 0.5
    warned_share: float = 1 / 3
    least_budget_seconds: int = 180
    curve: float = 2.0
    stage_factors: Mapping[Stage, float] = field(
        default_factory=lambda: {
            "maintaining": 1.0,
            "refining": 0.95,
            "learning": 0.70,
            "new": 0.45,
        }
    )
    concreteness_factors: Mapping[Concreteness, float] = field(
        default_factory=lambda: {"exact": 1.0, "guided": 0.85, "open": 0.60}
    )
    pin_factors: Mapping[Pin, float] = field(
        default_factory=lambda: {"auto": 1.0, "more": 1.5, "less": 0.67, "always": 1.0, "never": 1.0}
    )
    recency_lowest: float = 0.25
    recency_highest: float = 2.25
    need_lowest: float = 0.5
    need_highest: float = 2.0
    usual_cadence_days: int = 1
    near_days: int = 14
    nearest_days: int = 3
    low_energy_factors: Mapping[Strain, float] = field(
        default_factory=lambda: {"none": 1.0, "low": 1.0, "moderate": 0.7, "high": 0.7}
    )
    low_energy_first_seconds: int = 180
    low_focus_factors: Mapping[Divisibility, float] = field(
        default_factory=lambda: {"fine": 1.2, "sectioned": 1.0, "whole": 0.7}
    )
    other_form_factor: float = 0.5
    mental_seconds: int = 1200
    scattered_mental_seconds: int = 120
    fastest_taps_per_minute: int = 120
    slowest_bars_per_minute: int = 20
    fastest_bars_per_minute: int = 60
    away_days: int = 21
    most_new: int = 2
    seconds_per_task: int = 360
    seconds_per_task_in_scraps: int = 300
    least_task_limit: int = 2
    music_from_seconds: int = 600
    own_warm_up_from_seconds: int = 300
    own_warm_up_share: float = 1 / 3
    chunk_seconds: Mapping[Divisibility, int] = field(
        default_factory=lambda: {"fine": 120, "sectioned": 300, "whole": 900}
    )
    set_up_seconds: int = 30
    own_unit_seconds: int = 30
    counted_passes: int = 2
    long_round_seconds: int = 180
    rest_from_seconds: int = 1800
    playing_seconds: int = 1500
    rest_seconds: int = 300
    slack_shares: Mapping[Energy, float] = field(default_factory=lambda: {"usual": 0.1, "low": 0.15})
    least_slack_seconds: int = 30
    toss_up: float = 0.01
    prepared_budgets_seconds: tuple[int, ...] = tuple(range(300, 1201, 60))
    prepared_growth: float = 1.2
    likely_exercises: int = 3
    least_likeness: int = 60
    stage_met_days: int = 3
    stage_met_span_days: int = 7


class PolicyEntry(Struct, frozen=True, kw_only=True):
    """One number of the table, as the API shows it."""

    name: str
    value: float | Mapping[str, float] | tuple[float, ...]
    unit: str
    meaning: str
    source: str
    open_to_requests: bool
    lowest: float | None = None
    highest: float | None = None


_MEANINGS: Final[dict[str, tuple[str, str, str]]] = {
    "share": ("of the usual time", "The budget where neither minutes nor windows are given.", _PRACTICE),
    "largest_share": ("of the usual time", "A larger share is no short day and is refused.", _PRACTICE),
    "warned_share": (
        "of the usual time",
        "A larger share is warned about; it has room for tone and technique of high strain.",
        _OWN,
    ),
    "least_budget_seconds": ("seconds", "The least budget where nothing is given.", _OWN),
    "curve": (
        "1",
        "k of worth = 1000 w T (1 - exp(-k t/T)) / (1 - exp(-k)): first minutes are worth most.",
        _OWN,
    ),
    "stage_factors": ("1", "What is in hand before what is new.", _PRACTICE),
    "concreteness_factors": ("1", "What is exact before what is open-ended.", _PRACTICE),
    "pin_factors": ("1", "What the learner or teacher asks for; always and never are rules.", _OWN),
    "recency_lowest": (
        "1",
        "Least days since / cadence, before the root is taken.",
        _OWN,
    ),
    "recency_highest": ("1", "Greatest days since / cadence, before the root is taken.", _OWN),
    "need_lowest": ("1", "Least factor of need.", _OWN),
    "need_highest": ("1", "Greatest factor of need.", _OWN),
    "usual_cadence_days": (
        "days",
        "How often a task comes round that does not say: what stands in a routine is meant for each day.",
        _PRACTICE,
    ),
    "near_days": ("days", "What is due within so many days counts as coming up soon.", _OWN),
    "nearest_days": ("days", "From so many days before on, the factor of a date is at its greatest.", _OWN),
    "low_energy_factors": ("1", "By strain, on a day of low energy; high only where nothing else is.", _OWN),
    "low_energy_first_seconds": (
        "seconds",
        "On a day of low energy the first step is cut to this, where that makes two different steps.",
        _PRACTICE,
    ),
    "low_focus_factors": ("1", "By divisibility, on a day of low focus.", _PRACTICE),
    "other_form_factor": ("1", "For a task in its soft or silent form.", _OWN),
    "mental_seconds": (
        "seconds",
        "The most of score study and mental work in one plan.",
        "Driskell, Copper and Moran 1994: about 20 minutes is the best total length (from memory)",
    ),
    "scattered_mental_seconds": (
        "seconds",
        "With little focus the most of one thing in the head, where a piece of it is not longer.",
        _PRACTICE,
    ),
    "fastest_taps_per_minute": (
        "beats a minute",
        "In the head, faster beats are not tapped: one tap a bar, or none.",
        _PRACTICE,
    ),
    "slowest_bars_per_minute": ("bars a minute", "Nobody holds time by taps that come slower.", _PRACTICE),
    "fastest_bars_per_minute": ("bars a minute", "Where bars come faster, none is tapped.", _PRACTICE),
    "away_days": (
        "days",
        "After so many without playing the first days are small: the share at most, no strain, nothing new.",
        _PRACTICE,
    ),
    "most_new": ("tasks", "So many new things at most on one short day.", _PRACTICE),
    "seconds_per_task": (
        "seconds",
        "One thing is allowed for each so many seconds of the budget; one that prepares comes on top.",
        _PRACTICE,
    ),
    "seconds_per_task_in_scraps": (
        "seconds",
        "The same on a day of several windows, each of which begins anew, where the request does not say.",
        _PRACTICE,
    ),
    "least_task_limit": ("tasks", "So many tasks are always allowed.", _PRACTICE),
    "music_from_seconds": ("seconds", "From this budget up, a piece or improvisation in hand.", _PRACTICE),
    "own_warm_up_from_seconds": (
        "seconds",
        "From this budget up, the routine's own warm-up first, where anything is played.",
        _PRACTICE,
    ),
    "own_warm_up_share": (
        "of the playing time",
        "Only where its smallest piece takes no more than this.",
        _OWN,
    ),
    "chunk_seconds": (
        "seconds",
        "Smallest useful chunk, where the task does not name it; at most half of its usual time.",
        _OWN,
    ),
    "set_up_seconds": ("seconds", "Getting to a task of the learner's own that names no set-up.", _OWN),
    "own_unit_seconds": ("seconds", "The piece in which an own task without passages is counted.", _OWN),
    "counted_passes": (
        "passes",
        "So many of the learner's own, or more, say how often: a day then holds its share of the usual rounds.",
        _PRACTICE,
    ),
    "long_round_seconds": (
        "seconds",
        "What is counted once through and takes so long once round says how often, too.",
        _PRACTICE,
    ),
    "rest_from_seconds": ("seconds", "A longer window gives up time to rests.", _OWN),
    "playing_seconds": (
        "seconds",
        "Playing between two rests of a long window.",
        "Klickstein, The Musician's Way (2009), p. 75: 5 minutes after 25",
    ),
    "rest_seconds": (
        "seconds",
        "A rest in a long window.",
        "Klickstein, The Musician's Way (2009), p. 75: 5 minutes after 25",
    ),
    "slack_shares": (
        "of the window",
        "By energy: left free of each window that a day gives, so that the plan surely fits.",
        _PRACTICE,
    ),
    "least_slack_seconds": (
        "seconds",
        "At least so much of each window that a day gives is left free; at most half of it.",
        _PRACTICE,
    ),
    "toss_up": ("of the worth", "Another set of tasks this near is a toss-up.", _OWN),
    "prepared_budgets_seconds": (
        "seconds",
        "Plans are prepared for these, each whole minute of 5 to 20, and for a quarter and a half.",
        _OWN,
    ),
    "prepared_growth": (
        "of the worth",
        "Another is prepared between two of these where the second is worth over so many times the first, grown.",
        _OWN,
    ),
    "likely_exercises": ("exercises", "So many at most are offered for a title in a learner's words.", _OWN),
    "least_likeness": ("hundredths", "What is less like a title is not offered for it.", _OWN),
    "stage_met_days": (
        "days",
        "A finish line met on so many days, the last ones in a row: the next stage is proposed.",
        _PRACTICE,
    ),
    "stage_met_span_days": ("days", "So long from the first to the last of those days, at least.", _PRACTICE),
}

_BOUNDS: Final[dict[str, tuple[float, float]]] = {
    "share": (0.0, 0.5),
    "seconds_per_task": (120, 1800),
    "near_days": (1, 60),
}


def policy_table() -> tuple[PolicyEntry, ...]:
    """The whole table, one entry a number."""
    values = asdict(Policy())
    return tuple(
        PolicyEntry(
            name=name,
            value=values[name],
            unit=unit,
            meaning=meaning,
            source=source,
            open_to_requests=name in _BOUNDS,
            lowest=_BOUNDS[name][0] if name in _BOUNDS else None,
            highest=_BOUNDS[name][1] if name in _BOUNDS else None,
        )
        for name, (unit, meaning, source) in _MEANINGS.items()
    )


def chosen_policy(choices: PolicyChoices) -> Policy:
    """The table with the request's choices in it.

    Raises
    ------
    NotShortError
        The share is over the largest that counts as short.
    """
    policy = Policy()
    if choices.share is not None and choices.share > policy.largest_share:
        raise NotShortError(choices.share, policy.largest_share)
    chosen = {name: value for name, value in asdict(choices).items() if value is not None}
    return replace(policy, **chosen)
