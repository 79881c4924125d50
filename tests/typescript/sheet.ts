// From the walk to the sheet: rests, a small beginning, words.

import type { Card, DaySheet, MadeFrom, Notice, SheetStep, SheetUnit } from "./documents.js";
import { at, checkGrowth, daySeconds, sum, todaysTasks, todaysTurns } from "./today.js";
import type { TodaysTask, WindowTime } from "./today.js";
import { DayWalk } from "./walk.js";

interface Slot {
  window: number;
  task: string | null;
  seconds: number;
  setUp: number;
  first: number;
  units: number;
}

export function makeSheet(card: Card, madeFrom: MadeFrom): DaySheet {
  checkGrowth(card, madeFrom.asks);
  const walk = new DayWalk(card, todaysTasks(card, madeFrom), todaysTurns(card, madeFrom));
  madeFrom.asks.forEach((ask) => walk.give(ask));
  const slots = begunSmall(card, walk, walk.day.windows.flatMap((window, place) => slotsOf(card, walk, window, place)));
  const steps = stepsOf(card, walk, slots);
  const planned = sum(steps.map((step) => (step.task === null ? 0 : step.seconds + step.set_up_seconds)));
  return {
    format: "bagatelle-day-sheet",
    version: 1,
    kind: card.kind,
    card: madeFrom.card,
    date: madeFrom.date,
    locale: card.locale,
    windows: walk.day.windows.map((window) => ({
      seconds: window.seconds,
      rest_seconds: restOf(window),
      slack_seconds: window.slack,
      starts_at: window.startsAt,
    })),
    steps,
    planned_seconds: planned,
    cautions: [...card.cautions, ...cautionsOf(card, walk, steps)],
    notices: noticesOf(card, walk, planned),
  };
}

function restOf(window: WindowTime): number {
  return window.seconds - window.slack - window.playing;
}

interface Visit {
  id: string;
  task: TodaysTask;
  first: number;
  end: number;
  /** Of its set-up and its playing. */
  seconds: number;
}

/** The visits of one window in the order of the card. */
function visitsOf(card: Card, walk: DayWalk, place: number): Visit[] {
  return card.tasks.flatMap(({ id }) => {
    const task = walk.day.task(id);
    const stays = walk.day.stays.get(id) ?? [];
    const number = stays.findIndex((stay) => stay.window === place);
    if (number < 0) {
      return [];
    }
    const first = sum(stays.slice(0, number).map((stay) => stay.units));
    const end = first + at(stays, number).units;
    return [{ id, task, first, end, seconds: task.card.set_up_seconds + task.end(end) - task.end(first) }];
  });
}

/** The same with a rest after each stretch of playing, rather before a visit than in it. */
function slotsOf(card: Card, walk: DayWalk, window: WindowTime, place: number): Slot[] {
  const { numbers } = card;
  const slots: Slot[] = [];
  let restLeft = restOf(window);
  let played = 0;
  const rest = (): void => {
    const seconds = Math.min(restLeft, numbers.rest_seconds);
    slots.push({ window: place, task: null, seconds, setUp: 0, first: 0, units: 0 });
    restLeft -= seconds;
    played = 0;
  };
  const visits = visitsOf(card, walk, place);
  let toCome = sum(visits.map((visit) => visit.seconds));
  for (const { id, task, end, seconds: whole, ...visit } of visits) {
    const isCut = played + whole > numbers.playing_seconds;
    if (restLeft > 0 && isCut && toCome <= numbers.playing_seconds && numbers.playing_seconds <= 2 * played) {
      rest();
    }
    toCome -= whole;
    let { first } = visit;
    let setUp = task.card.set_up_seconds;
    while (first < end) {
      let until = end;
      if (restLeft > 0) {
        const reach = task.end(first) + numbers.playing_seconds - played - setUp;
        until = Math.min(end, Math.max(task.within(reach), first));
        if (until === first && played === 0) {
          until = first + 1;
        }
      }
      if (until > first) {
        const seconds = task.end(until) - task.end(first);
        slots.push({ window: place, task: id, seconds, setUp, first, units: until - first });
        played += seconds + setUp;
        setUp = 0;
        first = until;
      }
      if (first < end) {
        rest();
      }
    }
  }
  return slots;
}

/** Where the card asks for it, the first step is cut in two: a small one, and another of other units, no crumb. */
function begunSmall(card: Card, walk: DayWalk, slots: Slot[]): Slot[] {
  const [first, ...others] = slots;
  const most = card.numbers.first_seconds;
  if (most === null || first === undefined || first.task === null || first.seconds <= most) {
    return slots;
  }
  const task = walk.day.task(first.task);
  const units = task.within(task.end(first.first) + most) - first.first;
  if (task.card.prepares || units <= 0 || units >= first.units || first.units > task.units.length) {
    return slots;
  }
  const seconds = task.end(first.first + units) - task.end(first.first);
  if (first.seconds - seconds < Math.ceil(task.card.chunk_seconds / 2)) {
    return slots;
  }
  const small = { ...first, seconds, units };
  const rest = {
    ...first,
    seconds: first.seconds - seconds,
    setUp: 0,
    first: first.first + units,
    units: first.units - units,
  };
  return [small, rest, ...others];
}

const STRAINS = ["none", "low", "moderate", "high"];

function stepsOf(card: Card, walk: DayWalk, slots: readonly Slot[]): SheetStep[] {
  const warm = new Set<number>();
  const visits = new Map<string, number>();
  const parts = new Map<string, number>();
  const said = new Map<number, Map<string, number>>();
  return slots.map((slot) => {
    const key = `${slot.task ?? "@rest"} ${slot.window}`;
    const part = (parts.get(key) ?? 0) + 1;
    parts.set(key, part);
    if (slot.task === null) {
      return restStep(card, slot, part);
    }
    const task = walk.day.task(slot.task);
    const visit = (visits.get(slot.task) ?? 0) + (part === 1 ? 1 : 0);
    visits.set(slot.task, visit);
    const wantsWarmth = task.card.strains || (slot.window > 0 && task.card.cold_later);
    const isCold = wantsWarmth && !warm.has(slot.window);
    if (task.card.warms) {
      warm.add(slot.window);
    }
    const id = part === 1 ? `${slot.task}@${visit}` : `${slot.task}@${visit}.${part}`;
    const ofWindow = said.get(slot.window) ?? new Map(card.cautions.map((text) => [text, STRAINS.length]));
    said.set(slot.window, ofWindow);
    const texts = [...(isCold ? [card.texts.cold_caution] : []), ...task.card.cautions];
    const rank = STRAINS.indexOf(task.card.strain);
    const cautions = texts.filter((text) => (ofWindow.get(text) ?? -1) < rank);
    cautions.forEach((text) => ofWindow.set(text, rank));
    return taskStep(card, slot, task, id, cautions);
  });
}

function restStep(card: Card, slot: Slot, part: number): SheetStep {
  const { texts } = card;
  return {
    id: `@rest.${slot.window + 1}.${part}`,
    kind: "rest",
    window: slot.window,
    seconds: slot.seconds,
    set_up_seconds: 0,
    task: null,
    block: null,
    area: null,
    title: texts.rest_what,
    what: texts.rest_what,
    units: [],
    how: texts.rest_how,
    how_much: duration(card, slot.seconds),
    done_when: texts.rest_done_when,
    cautions: [],
    filled_in: [],
    continues: false,
    stands_in_for: null,
  };
}

/** To the nearest half minute, at least one of them. */
function duration(card: Card, seconds: number): string {
  const { durations } = card.texts;
  const halves = Math.max(Math.floor((seconds + 15) / 30), 1);
  return at(durations, Math.min(halves, durations.length) - 1);
}

function taskStep(card: Card, slot: Slot, task: TodaysTask, id: string, cautions: string[]): SheetStep {
  const of = task.card;
  const units = unitsOf(slot, task);
  const several = units.length > 1;
  return {
    id,
    kind: "task",
    window: slot.window,
    seconds: slot.seconds,
    set_up_seconds: slot.setUp,
    task: of.id,
    block: of.block,
    area: of.area,
    title: of.title,
    what: of.what,
    units,
    how: several && of.how_each !== "" ? of.how_each : of.how,
    how_much: of.by_time ? duration(card, slot.seconds) : "",
    done_when: several && of.done_when_each !== "" ? of.done_when_each : of.done_when,
    cautions,
    filled_in: of.filled_in,
    continues: slot.first > 0,
    stands_in_for: of.stands_in_for,
  };
}

/** What today's order gives a step: what waits, then the rest, both in the own order of the exercise or piece. */
function unitsOf(slot: Slot, task: TodaysTask): SheetUnit[] {
  const rounds = new Map<number, number>();
  for (let place = slot.first; place < slot.first + slot.units; place += 1) {
    const index = place % task.units.length;
    rounds.set(index, (rounds.get(index) ?? 0) + 1);
  }
  const later = (index: number) => (task.waiting.has(at(task.units, index)) ? 0 : 1);
  const inOrder = [...rounds].sort(
    ([one], [other]) =>
      later(one) - later(other) || at(task.units, one).place - at(task.units, other).place || one - other,
  );
  return inOrder.map(([index, times]) => {
    const unit = at(task.units, index);
    const howMuch = unit.how_much[Math.min(times, unit.how_much.length) - 1] ?? "";
    return { unit: unit.id, what: unit.what, how_much: howMuch, times, detail: unit.detail };
  });
}

/** What the steps make of the day as a whole. */
function cautionsOf(card: Card, walk: DayWalk, steps: readonly SheetStep[]): string[] {
  const kept = card.tasks.filter((task) => walk.day.stays.has(task.id));
  const found: string[] = [];
  if (kept.some((task) => task.strains) && !kept.some((task) => task.prepares)) {
    found.push(card.texts.unprepared_caution);
  }
  const said = new Set(steps.flatMap((step) => step.cautions));
  found.push(...kept.map((task) => task.day_caution).filter((text) => text !== "" && !said.has(text)));
  const played = (name: string) => sum(steps.map((step) => (step.task === name ? step.seconds : 0)));
  if (sum(kept.map((task) => task.sound_millionths * played(task.id))) > 1_000_000) {
    found.push(card.texts.sound_caution);
  }
  return [...new Set(found)];
}

function noticesOf(card: Card, walk: DayWalk, planned: number): Notice[] {
  const { numbers, texts } = card;
  const given = sum(walk.day.windows.map((window) => window.seconds));
  const notices: Notice[] = [];
  if (given > daySeconds(card, walk.day.windows)) {
    notices.push({ code: "little-energy", message: texts.most_seconds_reached });
  } else if (planned > numbers.short_seconds) {
    notices.push({ code: "no-short-day", message: texts.no_short_day });
  }
  if (walk.day.stays.size === 0) {
    notices.push({ code: "nothing-fits", message: texts.nothing_fits });
  } else if (walk.mode !== "usual") {
    const message = walk.mode === "chunk" ? texts.floor_chunk : texts.floor_unit;
    notices.push({ code: "floors-lowered", message });
  }
  return notices;
}
