import type { ReaderAnswer } from "./core.js";

/** What the crate refuses in an entry. */
export interface EntryMistake {
  code: string;
  /** JSON Pointer to the entry, such as `/length_m`. */
  path: string;
  field: string;
  message: string;
}

/** Thrown where entries cannot be used. */
export class Refused extends Error {
  errors: EntryMistake[];
}

/** One Wasm, compiled once however many ask. */
export class Core {
  constructor(find: () => BufferSource | WebAssembly.Module | Response | Promise<BufferSource | WebAssembly.Module | Response>);
  start(): Promise<Core>;
  ask(question: string, entries: Iterable<[string, string]>): ReaderAnswer;
  askText(question: string, text: string): ReaderAnswer;
}

/** Where the elements get their Wasm; set before the first element is near. */
export const cores: { short: Core | undefined; whole: Core | undefined };

/** What an element asks, and the entries it takes. */
export interface ReaderQuestion {
  question: string;
  fields: string[];
  choices: Record<string, string[]>;
  lead: string[];
  whole?: boolean;
}

/** The elements by name. */
export const QUESTIONS: Record<string, ReaderQuestion>;

/** Makes the elements known to the document; harmless where there is none, or where they are known already. */
export function define(): void;

/** An answer as plain HTML without script, style or frame; works in Node. */
export function table(tag: string, entries: Iterable<[string, string]>, answer: ReaderAnswer, address?: string): string;
