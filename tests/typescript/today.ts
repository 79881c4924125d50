// What a day gives, and each task as the day has it.

import type { Ask, Card, CardNumbers, CardTask, CardUnit, FloorMode, MadeFrom } from "./documents.js";

export interface WindowTime {
  seconds: number;
  playing: number;
  slack: number;
  startsAt: string | null;
}

export class NotMoreTime extends RangeError {}

export function at<T>(list: readonly T[], place: number): T {
  const found = list[place];
  if (found === undefined) {
    throw new RangeError(`Nothing stands at ${place} of ${list.length}.`);
  }
  return found;
}

export function windowsOf(card: Card, ask: Ask): WindowTime[] {
  const numbers = card.numbers;
  const quarter = card.quarter_windows.map((seconds) => ({ seconds, starts_at: null }));
  return (ask.windows.length > 0 ? ask.windows : quarter).map((window) => {
    const slack = endsByItself(card, ask) ? slackSeconds(window.seconds, numbers) : 0;
    const playing = playingSeconds(window.seconds - slack, numbers);
    return { seconds: window.seconds, playing, slack, startsAt: window.starts_at };
  });
}

/** Whether a part of each window stays free: of the quarter in one nothing does. */
export function endsByItself(card: Card, ask: Ask): boolean {
  return ask.windows.length > 0 || card.quarter_windows.length > 1;
}

export function slackSeconds(seconds: number, numbers: CardNumbers): number {
  const share = Math.floor((seconds * numbers.slack_thousandths) / 1000);
  return Math.min(Math.max(share, numbers.least_slack_seconds), Math.floor(seconds / 2));
}

export function playingSeconds(seconds: number, numbers: CardNumbers): number {
  if (seconds <= numbers.rest_from_seconds) {
    return seconds;
  }
  const stretch = numbers.playing_seconds + numbers.rest_seconds;
  const whole = Math.floor(seconds / stretch) * numbers.playing_seconds;
  return Math.max(whole + Math.min(seconds % stretch, numbers.playing_seconds), numbers.rest_from_seconds);
}

export function sum(numbers: readonly number[]): number {
  return numbers.reduce((before, each) => before + each, 0);
}

export function daySeconds(card: Card, windows: readonly WindowTime[]): number {
  const together = sum(windows.map((window) => window.seconds));
  const most = card.numbers.most_seconds;
  return most === null ? together : Math.min(together, most);
}

export function checkGrowth(card: Card, asks: readonly Ask[]): void {
  let given: number[] = [];
  for (const ask of asks) {
    const lengths = windowsOf(card, ask).map((window) => window.seconds);
    if (given.some((least, place) => (lengths[place] ?? -1) < least)) {
      throw new NotMoreTime("A day that has a sheet grows alone.");
    }
    given = lengths;
  }
}

/** Seconds of 0, 1, 2 ... units, going round; at least one unit, however long. */
function endsOf(units: readonly CardUnit[], largest: number): number[] {
  const ends = [0, at(units, 0).seconds];
  for (;;) {
    const next = at(ends, ends.length - 1) + at(units, (ends.length - 1) % units.length).seconds;
    if (next > largest) {
      return ends;
    }
    ends.push(next);
  }
}

/** The most units that end within so many seconds. */
function within(ends: readonly number[], seconds: number): number {
  let units = 0;
  while (units + 1 < ends.length && at(ends, units + 1) <= seconds) {
    units += 1;
  }
  return units;
}

/** The fewest units, one at least, that take so many seconds; all where none do. */
function reaching(ends: readonly number[], seconds: number): number {
  const units = ends.findIndex((end, place) => place > 0 && end >= seconds);
  return units < 0 ? ends.length - 1 : units;
}

export class TodaysTask {
  readonly ends: number[];

  constructor(
    readonly card: CardTask,
    readonly units: CardUnit[],
    /** Of music: what the last time missed, which is played before the rest. */
    readonly waiting: ReadonlySet<CardUnit>,
  ) {
    this.ends = endsOf(units, card.largest_seconds);
  }

  /** Each of its units so often, or the smallest useful visit where that takes more. */
  unitsOfRounds(rounds: number): number {
    const ofRounds = Math.min(rounds * this.units.length, this.ends.length - 1);
    return Math.max(ofRounds, this.reaching(this.card.chunk_seconds));
  }

  /** Half of a useful visit readies for what strains in a later window. */
  get leastReadying(): number {
    return Math.ceil(Math.min(this.card.chunk_seconds, at(this.ends, this.ends.length - 1)) / 2);
  }

  end(units: number): number {
    return at(this.ends, units);
  }

  cost(done: number, units: number): number {
    return this.end(done + units) - this.end(done);
  }

  reaching(seconds: number): number {
    return reaching(this.ends, seconds);
  }

  within(seconds: number): number {
    return within(this.ends, seconds);
  }

  entering(seconds: number, mode: FloorMode): number {
    const chunk = mode !== "unit" && seconds >= this.card.chunk_seconds ? this.card.chunk_seconds : 0;
    return Math.max(this.within(seconds), reaching(this.ends, chunk));
  }

  /** The smallest useful visit; half of it where the window cannot hold the whole. */
  leastVisit(longest: number): number {
    const chunk = this.card.chunk_seconds;
    const least = Math.min(chunk, at(this.ends, this.ends.length - 1));
    return this.end(reaching(this.ends, chunk)) <= longest ? least : Math.ceil(least / 2);
  }

  floor(playing: number, mode: FloorMode): number {
    const { card } = this;
    const ends = endsOf(card.units, card.largest_seconds);
    if (mode === "unit") {
      return at(ends, 1);
    }
    const chunk = at(ends, reaching(ends, card.chunk_seconds));
    if (mode === "chunk") {
      return chunk;
    }
    const wanted = Math.floor(Math.min(card.usual_seconds, playing) / 2) - card.set_up_seconds;
    return Math.max(chunk, at(ends, within(ends, Math.min(wanted, card.largest_floor_seconds))));
  }
}

/** The last day before the sheet's on which any of these was done; empty, and so before all others, where none was. */
function lastDay(madeFrom: MadeFrom, task: CardTask, units: readonly CardUnit[]): string {
  const days = madeFrom.last_done[task.id] ?? {};
  const before = units.map((unit) => days[unit.id] ?? "").filter((day) => day < madeFrom.date);
  return before.reduce((latest, day) => (day > latest ? day : latest), "");
}

function compared(one: string, other: string): number {
  return one < other ? -1 : one > other ? 1 : 0;
}

export function todaysTasks(card: Card, madeFrom: MadeFrom): Map<string, TodaysTask> {
  return new Map(
    card.tasks.map((task) => {
      const waited = (unit: CardUnit) => lastDay(madeFrom, task, [unit]);
      // Sorting keeps the order of the card among what waited as long.
      const units = [...task.units].sort((one, other) => compared(waited(one), waited(other)));
      const last = lastDay(madeFrom, task, task.units);
      const isMusic = task.area === "repertoire" || task.area === "improvisation";
      const waiting = new Set(isMusic ? units.filter((unit) => waited(unit) < last) : []);
      return [task.id, new TodaysTask(task, units, waiting)];
    }),
  );
}

/** Task -> the task that has its turn today: among those alike, what waited longest has the first place. */
export function todaysTurns(card: Card, madeFrom: MadeFrom): Map<string, string> {
  const groups = new Map<string, CardTask[]>();
  for (const task of card.tasks) {
    groups.set(task.alike_with, [...(groups.get(task.alike_with) ?? []), task]);
  }
  const turns = new Map<string, string>();
  const waited = (task: CardTask) => lastDay(madeFrom, task, task.units);
  for (const tasks of groups.values()) {
    const sorted = [...tasks].sort((one, other) => compared(waited(one), waited(other)));
    tasks.forEach((task, place) => turns.set(task.id, at(sorted, place).id));
  }
  return turns;
}
