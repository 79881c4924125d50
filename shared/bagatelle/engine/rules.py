"""How each of the four rules fared, in words."""

from collections.abc import Collection, Mapping

from bagatelle.engine.problem import things
from bagatelle.engine.settled import SettledTask
from bagatelle.engine.terms import Terms
from bagatelle.model.plan import RuleReport
from bagatelle.model.text import Message
from bagatelle.wording.render import Say


def rule_reports(
    kept: Collection[str], tasks: Mapping[str, SettledTask], terms: Terms, say: Say
) -> tuple[RuleReport, ...]:
    """The four rules, in the order of the policy."""
    kept_tasks = [tasks[task] for task in kept]
    return (
        _preparing(kept_tasks, terms, say),
        _music(kept_tasks, terms, say),
        _own_warm_up(terms, say),
        _count(things(kept_tasks), terms, say),
    )


def _preparing(kept: list[SettledTask], terms: Terms, say: Say) -> RuleReport:
    strains = any(task.strains for task in kept)
    prepares = any(task.prepares for task in kept)
    if not strains:
        text = "nothing-strains"
    elif any(task.stand_in for task in kept):
        text = "stand-in"
    elif prepares:
        text = "prepared"
    elif terms.unmet_preparing:
        text = "unprepared"
    else:
        text = "nothing-prepares"
    return RuleReport(
        rule="warm-up-before-strain",
        kept=not strains or prepares,
        because=say(Message(f"engine.rule.{text}")),
    )


def _music(kept: list[SettledTask], terms: Terms, say: Say) -> RuleReport:
    music = any(task.music for task in kept)
    if music:
        text = "music"
    elif terms.unmet_music:
        text = "music-does-not-fit"
    else:
        text = "no-music-asked"
    return RuleReport(
        rule="music-in-hand", kept=music or not terms.unmet_music, because=say(Message(f"engine.rule.{text}"))
    )


def _own_warm_up(terms: Terms, say: Say) -> RuleReport:
    if terms.own_warm_up is not None:
        text = "own-warm-up"
    elif terms.unmet_own_warm_up:
        text = "own-warm-up-does-not-fit"
    else:
        text = "no-own-warm-up-asked"
    return RuleReport(
        rule="own-warm-up-first",
        kept=not terms.unmet_own_warm_up,
        because=say(Message(f"engine.rule.{text}")),
    )


def _count(kept: int, terms: Terms, say: Say) -> RuleReport:
    limit = terms.problem.duties.task_limit
    text = "limit-raised" if terms.raised_limit else "task-count"
    return RuleReport(
        rule="task-count",
        kept=not terms.raised_limit,
        because=say(Message(f"engine.rule.{text}", {"limit": limit, "kept": kept})),
        limit=limit,
    )
