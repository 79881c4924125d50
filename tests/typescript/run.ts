// Makes every sheet of the test vectors and says which ones differ.

import { readFileSync } from "node:fs";
import { argv, exit, stdout } from "node:process";
import { isDeepStrictEqual } from "node:util";

import type { Card, DaySheet, MadeFrom } from "./documents.js";
import { makeSheet } from "./sheet.js";
import { at, NotMoreTime } from "./today.js";

interface Vectors {
  cards: Card[];
  cases: { name: string; card: number; made_from: MadeFrom; sheet: DaySheet | null }[];
}

/** Null where the day is refused, as it does not grow. */
function sheetOf(card: Card, madeFrom: MadeFrom): DaySheet | null {
  try {
    return makeSheet(card, madeFrom);
  } catch (error) {
    if (error instanceof NotMoreTime) {
      return null;
    }
    throw error;
  }
}

const vectors = JSON.parse(readFileSync(at(argv, 2), "utf-8")) as Vectors;
const wrong = vectors.cases.filter(
  ({ card, made_from, sheet }) => !isDeepStrictEqual(sheetOf(at(vectors.cards, card), made_from), sheet),
);
for (const { name } of wrong) {
  stdout.write(`differs: ${name}\n`);
}
stdout.write(`${vectors.cases.length - wrong.length} of ${vectors.cases.length} sheets are as they should be\n`);
exit(wrong.length > 0 || vectors.cases.length === 0 ? 1 : 0);
