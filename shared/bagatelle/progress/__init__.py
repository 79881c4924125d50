"""What logs and plans come to: continuity, time by area and week, gaps, use of plans, and one small change offered.

Pure: the same facts give the same answer, in whatever order and however often an entry was delivered. It is told
what day it is and reads nothing.

- `progress.progress_of(facts, say)` is everything of one student at once; `progress.offers_of(facts, say)` is every
  change that there is evidence for.
- `glance.group_glance(students, short_weeks, withheld_below)` counts a group, from summaries of its students.
- `glance.short_only_weeks(entries, today, weeks)` is what a summary says of short days.
- `days.day_of(moment, time_zone)` is the day of a log that gives a moment.
"""
