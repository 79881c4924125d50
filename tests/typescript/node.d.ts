// The little of Node that run.ts uses, so that the compiler is all that has to be installed.

declare module "node:fs" {
  export function readFileSync(path: string, encoding: "utf-8"): string;
}

declare module "node:process" {
  export const argv: readonly string[];
  export const stdout: { write(text: string): void };
  export function exit(code: number): never;
}

declare module "node:util" {
  export function isDeepStrictEqual(one: unknown, other: unknown): boolean;
}
