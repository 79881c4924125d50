// The documents that a walk reads and writes, as they stand in JSON.

export type FloorMode = "usual" | "chunk" | "unit";

export interface Lift {
  task: string;
  seconds: number;
}

export interface PreparedDoses {
  budget_seconds: number;
  floor_mode: FloorMode;
  lifts: Lift[];
}

export interface CardUnit {
  id: string;
  seconds: number;
  place: number;
  what: string;
  how_much: string[];
  detail: string;
}

export interface CardTask {
  id: string;
  title: string;
  block: string;
  area: string;
  stage: string;
  strain: string;
  prepares: boolean;
  strains: boolean;
  music: boolean;
  usual_seconds: number;
  largest_seconds: number;
  chunk_seconds: number;
  largest_floor_seconds: number;
  set_up_seconds: number;
  warms: boolean;
  cold_later: boolean;
  by_time: boolean;
  what: string;
  how: string;
  how_each: string;
  done_when: string;
  done_when_each: string;
  cautions: string[];
  day_caution: string;
  sound_millionths: number;
  filled_in: string[];
  stands_in_for: string | null;
  alike_with: string;
  units: CardUnit[];
}

export interface CardNumbers {
  slack_thousandths: number;
  least_slack_seconds: number;
  rest_from_seconds: number;
  playing_seconds: number;
  rest_seconds: number;
  seconds_per_thing: number;
  least_things: number;
  usual_things: number;
  usual_things_seconds: number;
  short_seconds: number;
  most_seconds: number | null;
  first_seconds: number | null;
}

export interface CardTexts {
  cold_caution: string;
  unprepared_caution: string;
  sound_caution: string;
  rest_what: string;
  rest_how: string;
  rest_done_when: string;
  no_short_day: string;
  most_seconds_reached: string;
  nothing_fits: string;
  floor_chunk: string;
  floor_unit: string;
  durations: string[];
}

export interface Card {
  format: "bagatelle-card";
  version: 1;
  kind: string;
  locale: string;
  usual_seconds: number;
  quarter_seconds: number;
  quarter_windows: number[];
  numbers: CardNumbers;
  tasks: CardTask[];
  quarter: PreparedDoses;
  prepared: PreparedDoses[];
  rungs: Lift[];
  cautions: string[];
  texts: CardTexts;
}

export interface Ask {
  windows: { seconds: number; starts_at: string | null }[];
}

export interface MadeFrom {
  card: string;
  date: string;
  asks: Ask[];
  /** Task, then unit, then the last day on which it was done whole, as YYYY-MM-DD: such days compare as text. */
  last_done: Record<string, Record<string, string>>;
}

export interface SheetWindow {
  seconds: number;
  rest_seconds: number;
  slack_seconds: number;
  starts_at: string | null;
}

export interface SheetUnit {
  unit: string;
  what: string;
  how_much: string;
  times: number;
  detail: string;
}

export interface SheetStep {
  id: string;
  kind: "task" | "rest";
  window: number;
  seconds: number;
  set_up_seconds: number;
  task: string | null;
  block: string | null;
  area: string | null;
  title: string;
  what: string;
  units: SheetUnit[];
  how: string;
  how_much: string;
  done_when: string;
  cautions: string[];
  filled_in: string[];
  continues: boolean;
  stands_in_for: string | null;
}

export interface Notice {
  code: string;
  message: string;
}

export interface DaySheet {
  format: "bagatelle-day-sheet";
  version: 1;
  kind: string;
  card: string;
  date: string;
  locale: string;
  windows: SheetWindow[];
  steps: SheetStep[];
  planned_seconds: number;
  cautions: string[];
  notices: Notice[];
}
