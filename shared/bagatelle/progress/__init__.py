"""What logs and plans come to: continuity, time by area and week, gaps, use of plans, and one small change offered.

Pure: the same facts give the same answer, in whatever order and however often an entry was delivered. It is told what
day it is and reads nothing.

- `progress.progress_of(facts: PracticeFacts, say: Say, policy: Policy, numbers: ProgressPolicy) -> Progress`
- `fitting.length_that_fits(seconds: Sequence[int]) -> LengthThatFits | None`
- `glance.short_only_weeks(entries: Iterable[LogEntry], today: date, weeks: int) -> int`
- `glance.group_glance(students: Sequence[StudentSummary], short_weeks: int, withheld_below: int) -> GroupGlance`
- `days.day_of(moment: datetime, time_zone: str) -> date`
"""
