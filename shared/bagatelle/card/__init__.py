"""Cards and the day sheets that are made from them.

A *card* is prepared once for each kind of hard day: all that a sheet of that kind may need, in words and seconds.
A *day sheet* is a function of a card and of `MadeFrom`: a date, what the day gave, when each unit was last done.
It takes no plugin, no search, no clock and no chance, so that an app without a network makes the same sheet. The
rule, exact enough for another language, stands in DEVELOPERS.md under "The walk of a day sheet", its test vectors
in tests/vectors. In short:

1. The units of each task come in today's order: never done first, then least recently done, ties as in the card.
   So do tasks that are alike.
2. Of each window a part stays free, and a long one gives up rests; the others are playing time.
3. The day begins with the largest prepared plan within its windows, and goes on with the rungs of the ladder.
4. Each of their lifts is placed by whole units: where the task stopped, else in the first window that holds it
   whole, else in the roomiest. A visit is no less than its smallest useful piece. What finds no place is not tried
   again.
5. In several windows, what strains goes where something prepares, or brings a part of it along; only where neither
   can be had does it come cold, after everything else was tried. Of two windows in a row one has music in hand.
6. In several windows, or more time than is short, each thing comes once before anything comes again, and again
   before anything comes a third time, music first.
7. In a window visits stand in the order of the card, which is the order of the body.
8. A day that grows keeps what stood, and walks on with the room that is new.
"""
