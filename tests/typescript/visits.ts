// Who visits which window with how many units, and what has to come before what strains.

import { at, sum } from "./today.js";
import type { TodaysTask, WindowTime } from "./today.js";

export interface Stay {
  window: number;
  units: number;
}

interface Readying {
  task: TodaysTask;
  units: number;
  seconds: number;
  isSplit: boolean;
}

interface Saved {
  stays: Map<string, Stay[]>;
  left: number[];
  dayLeft: number;
}

export class DayVisits {
  windows: WindowTime[] = [];
  stays = new Map<string, Stay[]>();
  private left: number[] = [];
  private dayLeft = 0;
  private kept = new Map<string, number>();

  constructor(private readonly tasks: ReadonlyMap<string, TodaysTask>) {}

  task(name: string): TodaysTask {
    const task = this.tasks.get(name);
    if (task === undefined) {
      throw new RangeError(`The card has no task ${name}.`);
    }
    return task;
  }

  makeRoom(windows: WindowTime[], most: number | null): void {
    this.windows = windows;
    this.left = windows.map((window) => window.playing);
    this.dayLeft = most ?? sum(this.left);
    for (const [name, stays] of this.stays) {
      const task = this.task(name);
      let done = 0;
      for (const { window, units } of stays) {
        this.spend(window, task.cost(done, units) + task.card.set_up_seconds);
        done += units;
      }
    }
    this.kept = new Map([...this.stays.keys()].map((name) => [name, this.units(name)]));
  }

  saved(): Saved {
    const stays = new Map([...this.stays].map(([name, each]) => [name, each.map((stay) => ({ ...stay }))]));
    return { stays, left: [...this.left], dayLeft: this.dayLeft };
  }

  restore(saved: Saved): void {
    this.stays = saved.stays;
    this.left = saved.left;
    this.dayLeft = saved.dayLeft;
  }

  units(name: string): number {
    return sum((this.stays.get(name) ?? []).map((stay) => stay.units));
  }

  lastWindow(name: string): number {
    const stays = this.stays.get(name) ?? [];
    return stays.length > 0 ? at(stays, stays.length - 1).window : -1;
  }

  holds(window: number, wanted: (task: TodaysTask) => boolean): boolean {
    return [...this.stays].some(
      ([name, stays]) => wanted(this.task(name)) && stays.some((stay) => stay.window === window),
    );
  }

  isReady(window: number): boolean {
    return this.holds(window, (task) => task.card.prepares);
  }

  room(window: number): number {
    return Math.max(Math.min(at(this.left, window), this.dayLeft), 0);
  }

  /** With what strains comes what prepares, unless it may come cold. */
  roomFor(task: TodaysTask, window: number, cold: boolean): number {
    if (cold || !this.wantsReadying(task, window)) {
      return this.room(window);
    }
    const readying = this.readying(window);
    return readying === null ? 0 : Math.max(this.room(window) - readying.seconds, 0);
  }

  visit(task: TodaysTask, window: number, units: number, cold: boolean): void {
    const readying = !cold && this.wantsReadying(task, window) ? this.readying(window) : null;
    if (readying !== null) {
      if (readying.isSplit) {
        this.takeBack(readying.task, readying.units);
      }
      this.take(readying.task, window, readying.units);
    }
    this.take(task, window, units);
  }

  take(task: TodaysTask, window: number, units: number): void {
    const name = task.card.id;
    const mine = this.stays.get(name) ?? [];
    const last = mine[mine.length - 1];
    const cost = task.cost(this.units(name), units);
    if (last !== undefined && last.window === window) {
      last.units += units;
      this.spend(window, cost);
    } else {
      mine.push({ window, units });
      this.stays.set(name, mine);
      this.spend(window, cost + task.card.set_up_seconds);
    }
  }

  private takeBack(task: TodaysTask, units: number): void {
    const mine = this.stays.get(task.card.id) ?? [];
    const last = at(mine, mine.length - 1);
    this.spend(last.window, -task.cost(this.units(task.card.id) - units, units));
    last.units -= units;
  }

  private spend(window: number, seconds: number): void {
    this.left[window] = at(this.left, window) - seconds;
    this.dayLeft -= seconds;
  }

  private wantsReadying(task: TodaysTask, window: number): boolean {
    const anythingPrepares = [...this.tasks.values()].some((each) => each.card.prepares);
    return this.windows.length > 1 && task.card.strains && anythingPrepares && !this.isReady(window);
  }

  /** The shortest of what is begun, else of anything that prepares; the first of equals. */
  private readying(window: number): Readying | null {
    const preparing = [...this.tasks.values()].filter((task) => task.card.prepares);
    for (const isBegun of [true, false]) {
      const names = preparing.filter((task) => this.stays.has(task.card.id) === isBegun);
      const found = names.map((task) => this.readyingOf(task, window)).filter((each) => each !== null);
      if (found.length > 0) {
        return found.reduce((best, each) => (each.seconds < best.seconds ? each : best));
      }
    }
    return null;
  }

  private readyingOf(task: TodaysTask, window: number): Readying | null {
    const name = task.card.id;
    if (this.lastWindow(name) >= window) {
      return null;
    }
    const done = this.units(name);
    const least = task.leastReadying;
    for (let units = 1; done + units < task.ends.length; units += 1) {
      if (task.cost(done, units) >= least) {
        return { task, units, seconds: task.card.set_up_seconds + task.cost(done, units), isSplit: false };
      }
    }
    const stays = this.stays.get(name) ?? [];
    if (stays.length === 0) {
      return null;
    }
    const last = at(stays, stays.length - 1).units;
    const most = Math.min(last - 1, done - (this.kept.get(name) ?? 0));
    for (let units = 1; units <= most; units += 1) {
      const seconds = task.cost(done - units, units);
      if (seconds >= least) {
        const staysUseful = task.cost(done - last, last - units) >= least;
        return staysUseful ? { task, units, seconds: task.card.set_up_seconds + seconds, isSplit: true } : null;
      }
    }
    return null;
  }
}
