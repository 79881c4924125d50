// Which task stands in which window, with how many units.

import type { Ask, Card, FloorMode, Lift, PreparedDoses } from "./documents.js";
import { at, daySeconds, endsByItself, playingSeconds, slackSeconds, sum, TodaysTask, windowsOf } from "./today.js";
import type { WindowTime } from "./today.js";

export interface Stay {
  window: number;
  units: number;
}

export class DayWalk {
  windows: WindowTime[] = [];
  mode: FloorMode = "usual";
  readonly stays = new Map<string, Stay[]>();
  private readonly anythingPrepares: boolean;
  private left: number[] = [];
  private dayLeft = 0;
  private playing = 0;
  private mostThings = 0;

  constructor(
    private readonly card: Card,
    private readonly tasks: ReadonlyMap<string, TodaysTask>,
    private readonly turns: ReadonlyMap<string, string>,
  ) {
    this.anythingPrepares = card.tasks.some((task) => task.prepares);
  }

  give(ask: Ask): void {
    const isFirst = this.windows.length === 0;
    this.makeRoom(ask);
    for (const plan of this.starts(ask)) {
      this.mode = plan.floor_mode;
      for (const lift of plan.lifts) {
        this.climb(lift, isFirst ? plan : null);
      }
      if (this.stays.size > 0) {
        break;
      }
    }
    for (const rung of this.card.rungs) {
      this.climb(rung, null);
    }
  }

  task(name: string): TodaysTask {
    const task = this.tasks.get(name);
    if (task === undefined) {
      throw new RangeError(`The card has no task ${name}.`);
    }
    return task;
  }

  private makeRoom(ask: Ask): void {
    const { numbers } = this.card;
    this.windows = windowsOf(this.card, ask);
    const seconds = daySeconds(this.card, this.windows);
    const slack = endsByItself(this.card, ask) ? slackSeconds(seconds, numbers) : 0;
    this.playing = playingSeconds(seconds - slack, numbers);
    const asUsual = Math.floor((this.playing * numbers.usual_things) / Math.max(numbers.usual_things_seconds, 1));
    this.mostThings = Math.max(
      numbers.least_things,
      Math.floor(seconds / numbers.seconds_per_thing),
      Math.min(asUsual, numbers.usual_things),
    );
    this.left = this.windows.map((window) => window.playing);
    this.dayLeft = numbers.most_seconds ?? sum(this.left);
    this.mode = "usual";
    for (const [name, stays] of this.stays) {
      let done = 0;
      for (const { window, units } of stays) {
        this.spend(window, this.cost(name, done, units) + this.task(name).card.set_up_seconds);
        done += units;
      }
    }
  }

  private starts(ask: Ask): PreparedDoses[] {
    if (ask.windows.length === 0) {
      return [this.card.quarter];
    }
    const seconds = daySeconds(this.card, this.windows);
    return this.card.prepared.filter((plan) => plan.budget_seconds <= seconds).reverse();
  }

  private climb(lift: Lift, start: PreparedDoses | null): void {
    const name = this.turns.get(lift.task) ?? lift.task;
    const task = this.task(name);
    const before = this.units(name);
    const target = before > 0 ? task.within(lift.seconds) : task.entering(lift.seconds, this.mode);
    if (target <= before) {
      return;
    }
    if (before > 0) {
      this.take(name, this.further(task, before, target, at(this.stays.get(name) ?? [], -1 + this.visits(name)).window));
      return;
    }
    if (!this.mayEnter(task, start)) {
      return;
    }
    const stays = this.entry(task, target);
    const units = sum(stays.map((stay) => stay.units));
    if (start === null && !this.reachesFloor(task, units, target, lift.seconds)) {
      return;
    }
    this.take(name, stays);
  }

  private visits(name: string): number {
    return (this.stays.get(name) ?? []).length;
  }

  private units(name: string): number {
    return sum((this.stays.get(name) ?? []).map((stay) => stay.units));
  }

  private cost(name: string, done: number, units: number): number {
    return this.task(name).end(done + units) - this.task(name).end(done);
  }

  private spend(window: number, seconds: number): void {
    this.left[window] = at(this.left, window) - seconds;
    this.dayLeft -= seconds;
  }

  private room(window: number): number {
    return Math.max(Math.min(at(this.left, window), this.dayLeft), 0);
  }

  private mayEnter(task: TodaysTask, start: PreparedDoses | null): boolean {
    const prepared = [...this.stays.keys()].some((name) => this.task(name).card.prepares);
    const { strains, prepares } = task.card;
    if (start !== null) {
      const wants = start.lifts.some((lift) => this.task(lift.task).card.prepares);
      return prepared || !(strains && wants);
    }
    const things = this.stays.size + 1 - (prepared || prepares ? 1 : 0);
    return things <= this.mostThings && (prepared || !(strains && this.anythingPrepares));
  }

  private reachesFloor(task: TodaysTask, units: number, target: number, liftSeconds: number): boolean {
    const floor = task.floor(this.playing, this.mode);
    return units > 0 && (task.end(units) >= floor || (units === target && liftSeconds >= floor));
  }

  private entry(task: TodaysTask, target: number): Stay[] {
    const first = this.firstWindow(task);
    const windows = this.left.map((_, window) => window).filter((window) => window >= first);
    const whole = windows.find((window) => this.room(window) >= task.card.set_up_seconds + task.end(target));
    if (whole !== undefined) {
      return [{ window: whole, units: target }];
    }
    let best = -1;
    let most = 0;
    for (const window of windows) {
      if (this.room(window) > most && this.fitting(task, 0, target, this.room(window)) > 0) {
        best = window;
        most = this.room(window);
      }
    }
    if (best < 0) {
      return [];
    }
    const units = this.fitting(task, 0, target, most);
    const used = task.card.set_up_seconds + task.end(units);
    return [{ window: best, units }, ...this.later(task, units, target, best + 1, this.dayLeft - used)];
  }

  private firstWindow(task: TodaysTask): number {
    if (!task.card.strains) {
      return 0;
    }
    const preparing = [...this.stays].filter(([name]) => this.task(name).card.prepares);
    const windows = preparing.map(([, stays]) => at(stays, 0).window);
    return windows.length > 0 ? Math.min(...windows) : 0;
  }

  private further(task: TodaysTask, done: number, target: number, window: number): Stay[] {
    const grown = Math.min(task.within(task.end(done) + this.room(window)), target) - done;
    const used = task.end(done + grown) - task.end(done);
    const later = this.later(task, done + grown, target, window + 1, this.dayLeft - used);
    return grown > 0 ? [{ window, units: grown }, ...later] : later;
  }

  private later(task: TodaysTask, begun: number, target: number, first: number, dayLeft: number): Stay[] {
    const stays: Stay[] = [];
    let done = begun;
    let left = dayLeft;
    for (let window = first; window < this.left.length && done < target; window += 1) {
      const units = this.fitting(task, done, target, Math.min(at(this.left, window), left));
      if (units > 0) {
        stays.push({ window, units });
        left -= task.card.set_up_seconds + task.end(done + units) - task.end(done);
        done += units;
      }
    }
    return stays;
  }

  private fitting(task: TodaysTask, done: number, target: number, room: number): number {
    const start = task.end(done);
    const units = Math.min(task.within(start + room - task.card.set_up_seconds), target) - done;
    return units > 0 && task.end(done + units) - start >= this.leastVisit(task) ? units : 0;
  }

  private leastVisit(task: TodaysTask): number {
    if (this.mode === "unit") {
      return 1;
    }
    const longest = Math.max(...this.windows.map((window) => window.playing));
    return task.leastVisit(longest - task.card.set_up_seconds);
  }

  private take(name: string, stays: readonly Stay[]): void {
    for (const { window, units } of stays) {
      const mine = this.stays.get(name) ?? [];
      const last = mine[mine.length - 1];
      const cost = this.cost(name, this.units(name), units);
      if (last !== undefined && last.window === window) {
        last.units += units;
        this.spend(window, cost);
      } else {
        mine.push({ window, units });
        this.stays.set(name, mine);
        this.spend(window, cost + this.task(name).card.set_up_seconds);
      }
    }
  }
}
