// Which task stands in which window, with how many units.

import type { Ask, Card, FloorMode, Lift, PreparedDoses } from "./documents.js";
import { daySeconds, endsByItself, playingSeconds, slackSeconds, TodaysTask, windowsOf } from "./today.js";
import { DayVisits } from "./visits.js";

export class DayWalk {
  mode: FloorMode = "usual";
  readonly day: DayVisits;
  private readonly anythingPrepares: boolean;
  private playing = 0;
  private mostThings = 0;
  private rounds = 0;
  private mayBeCold = true;
  private strainComes = false;

  constructor(
    private readonly card: Card,
    tasks: ReadonlyMap<string, TodaysTask>,
    private readonly turns: ReadonlyMap<string, string>,
  ) {
    this.day = new DayVisits(tasks);
    this.anythingPrepares = card.tasks.some((task) => task.prepares);
  }

  give(ask: Ask): void {
    const isFirst = this.day.windows.length === 0;
    this.makeRoom(ask);
    const plans = this.starts(ask);
    const isLong = daySeconds(this.card, this.day.windows) > this.card.numbers.short_seconds;
    const several = this.day.windows.length > 1;
    this.rounds = several || isLong ? 1 : 0;
    this.mayBeCold = !several;
    const plan = this.start(plans, isFirst);
    if (several || isLong) {
      if (several) {
        this.spreadMusic();
      }
      if (isLong) {
        this.climbRungs((task) => task.card.music);
      }
      this.climbRungs(() => true);
      this.rounds = 2;
      this.climbRungs((task) => task.card.music);
      this.climbRungs(() => true);
      this.rounds = Infinity;
      this.mayBeCold = true;
      this.start(plan === null ? plans : [plan], isFirst);
    }
    this.climbRungs(() => true);
  }

  private todays(name: string): TodaysTask {
    return this.day.task(this.turns.get(name) ?? name);
  }

  private makeRoom(ask: Ask): void {
    const { numbers } = this.card;
    const windows = windowsOf(this.card, ask);
    const seconds = daySeconds(this.card, windows);
    const slack = endsByItself(this.card, ask) ? slackSeconds(seconds, numbers) : 0;
    this.playing = playingSeconds(seconds - slack, numbers);
    const asUsual = Math.floor((this.playing * numbers.usual_things) / Math.max(numbers.usual_things_seconds, 1));
    this.mostThings = Math.max(
      numbers.least_things,
      Math.floor(seconds / numbers.seconds_per_thing),
      Math.min(asUsual, numbers.usual_things),
    );
    this.mode = "usual";
    this.day.makeRoom(windows, numbers.most_seconds);
  }

  private starts(ask: Ask): PreparedDoses[] {
    if (ask.windows.length === 0) {
      return [this.card.quarter];
    }
    const seconds = daySeconds(this.card, this.day.windows);
    return this.card.prepared.filter((plan) => plan.budget_seconds <= seconds).reverse();
  }

  private start(plans: readonly PreparedDoses[], isFirst: boolean): PreparedDoses | null {
    for (const plan of plans) {
      this.mode = plan.floor_mode;
      this.strainComes = plan.lifts.some((lift) => this.todays(lift.task).card.strains);
      for (const lift of plan.lifts) {
        this.climb(lift, isFirst ? plan : null);
      }
      if (this.day.stays.size > 0) {
        return plan;
      }
    }
    return null;
  }

  private climbRungs(wanted: (task: TodaysTask) => boolean): void {
    for (const rung of this.card.rungs) {
      if (wanted(this.todays(rung.task))) {
        this.climb(rung, null);
      }
    }
  }

  private climb(lift: Lift, start: PreparedDoses | null): void {
    const task = this.todays(lift.task);
    const before = this.day.units(task.card.id);
    if (before > 0) {
      const target = this.held(task, task.within(lift.seconds));
      if (target > before) {
        this.goFurther(task, target);
      }
    } else if (this.mayEnter(task, start)) {
      this.enter(task, lift.seconds, start !== null);
    }
  }

  private held(task: TodaysTask, units: number): number {
    if (this.rounds === 0) {
      return units;
    }
    return Math.min(units, task.unitsOfRounds(task.card.area === "warm-up" ? 1 : this.rounds));
  }

  private mayEnter(task: TodaysTask, start: PreparedDoses | null): boolean {
    const prepared = [...this.day.stays.keys()].some((name) => this.day.task(name).card.prepares);
    const { strains, prepares } = task.card;
    const things = this.day.stays.size + 1 - (prepared || prepares ? 1 : 0);
    const isHeld = start === null || this.card.numbers.most_seconds !== null;
    if (isHeld && things > this.mostThings) {
      return false;
    }
    if (start !== null) {
      const wants = start.lifts.some((lift) => this.day.task(lift.task).card.prepares);
      return prepared || !(strains && wants);
    }
    return prepared || !(strains && this.anythingPrepares);
  }

  private enter(task: TodaysTask, liftSeconds: number, isStart: boolean): void {
    const name = task.card.id;
    const target = this.held(task, task.entering(liftSeconds, this.mode));
    const before = this.day.saved();
    this.begin(task, target, false);
    if (this.mayBeCold && this.day.units(name) === 0) {
      this.begin(task, target, true);
    }
    if (!isStart && !this.reachesFloor(task, this.day.units(name), target, liftSeconds)) {
      this.day.restore(before);
    }
  }

  private reachesFloor(task: TodaysTask, units: number, target: number, liftSeconds: number): boolean {
    const floor = task.floor(this.playing, this.mode);
    return units > 0 && (task.end(units) >= floor || (units === target && liftSeconds >= floor));
  }

  private begin(task: TodaysTask, target: number, cold: boolean): void {
    let best = -1;
    let most = 0;
    for (const window of this.inOrder(task)) {
      const room = this.day.roomFor(task, window, cold);
      if (room >= task.card.set_up_seconds + task.end(target)) {
        this.day.visit(task, window, target, cold);
        return;
      }
      if (room > most && this.fitting(task, target, window, room) > 0) {
        best = window;
        most = room;
      }
    }
    if (best >= 0) {
      this.day.visit(task, best, this.fitting(task, target, best, most), cold);
      this.goOn(task, target, best + 1, cold);
    }
  }

  private inOrder(task: TodaysTask): number[] {
    const windows = this.day.windows.map((_, window) => window);
    if (windows.length === 1) {
      return windows;
    }
    const ready = windows.filter((window) => this.day.isReady(window));
    const others = windows.filter((window) => !ready.includes(window));
    if (task.card.strains) {
      const first = ready[0] ?? -1;
      return [...ready, ...others.filter((window) => window > first)];
    }
    return task.card.prepares || this.strainComes ? [...others, ...ready] : windows;
  }

  private goFurther(task: TodaysTask, target: number): void {
    const { day } = this;
    const name = task.card.id;
    const window = day.lastWindow(name);
    const done = day.units(name);
    const grown = Math.min(task.within(task.end(done) + day.room(window)), target) - done;
    if (grown > 0) {
      day.take(task, window, grown);
    }
    this.goOn(task, target, window + 1, false);
    if (this.mayBeCold) {
      this.goOn(task, target, day.lastWindow(name) + 1, true);
    }
  }

  private goOn(task: TodaysTask, target: number, first: number, cold: boolean): void {
    for (let window = first; window < this.day.windows.length; window += 1) {
      if (this.day.units(task.card.id) >= target) {
        return;
      }
      const units = this.fitting(task, target, window, this.day.roomFor(task, window, cold));
      if (units > 0) {
        this.day.visit(task, window, units, cold);
      }
    }
  }

  private fitting(task: TodaysTask, target: number, window: number, room: number): number {
    const done = this.day.units(task.card.id);
    const units = Math.min(task.within(task.end(done) + room - task.card.set_up_seconds), target) - done;
    return units > 0 && task.cost(done, units) >= this.leastVisit(task, window) ? units : 0;
  }

  private leastVisit(task: TodaysTask, window: number): number {
    const playing = this.day.windows[window]?.playing ?? 0;
    return this.mode === "unit" ? 1 : task.leastVisit(playing - task.card.set_up_seconds);
  }

  /** Of two windows in a row one has music in hand, where a useful piece of it finds room there. */
  private spreadMusic(): void {
    const isMusic = (task: TodaysTask) => task.card.music;
    for (let later = 1; later < this.day.windows.length; later += 1) {
      if (this.day.holds(later - 1, isMusic) || this.day.holds(later, isMusic)) {
        continue;
      }
      const begun = [...this.day.stays.keys()].map((name) => this.day.task(name)).filter(isMusic);
      const ofRungs = [...new Set(this.card.rungs.map((rung) => this.todays(rung.task)))].filter(isMusic);
      const tasks = [...begun, ...ofRungs.filter((task) => !begun.includes(task))];
      [later, later - 1].some((window) => tasks.some((task) => this.bring(task, window)));
    }
  }

  private bring(task: TodaysTask, window: number): boolean {
    const name = task.card.id;
    const done = this.day.units(name);
    if (this.day.lastWindow(name) >= window || (done === 0 && !this.mayEnter(task, null))) {
      return false;
    }
    if (!this.inOrder(task).includes(window)) {
      return false;
    }
    const chunk = task.reaching(task.end(done) + task.card.chunk_seconds);
    const target = Math.min(Math.max(chunk, done + 1), task.unitsOfRounds(1));
    const units = this.fitting(task, target, window, this.day.roomFor(task, window, false));
    if (units > 0) {
      this.day.visit(task, window, units, false);
    }
    return units > 0;
  }
}
