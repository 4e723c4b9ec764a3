// The Wasm behind the elements: text in, text out. Needs no document, so that it works in Node as well.

/** @typedef {import("cellwright").ReaderAnswer} ReaderAnswer */
/** @typedef {{code: string, path: string, field: string, message: string}} Mistake */
/** @typedef {{memory: WebAssembly.Memory, cellwright_room(length: number): number, cellwright_answer(name: number): number, cellwright_told(): number}} Door */

/** What the crate refuses, with every mistake. */
export class Refused extends Error {
  /** @param {Mistake[]} errors */
  constructor(errors) {
    super(errors.map(({ message }) => message).join("; "));
    this.name = "CellwrightError";
    this.errors = errors;
  }
}

/** One Wasm, compiled once however many ask. */
export class Core {
  /** @param {() => unknown} find gives bytes, a compiled module, or an answer of `fetch` */
  constructor(find) {
    this.find = find;
    /** @type {Promise<Core> | undefined} */
    this.begun = undefined;
    /** @type {WebAssembly.Module | undefined} */
    this.module = undefined;
    /** @type {Door | undefined} */
    this.door = undefined;
  }

  /** Compiles at the first call; a failed start can be repeated. @returns {Promise<Core>} */
  start() {
    this.begun ??= this.compile().catch((error) => {
      this.begun = undefined;
      throw error;
    });
    return this.begun;
  }

  async compile() {
    let source = await this.find();
    if (typeof Response === "function" && source instanceof Response) {
      if (!source.ok) throw new Error(`${source.url} answered ${source.status}: the Wasm is not there`);
      source = await source.arrayBuffer();
    }
    this.module = source instanceof WebAssembly.Module ? source : await WebAssembly.compile(/** @type {BufferSource} */ (source));
    this.door = open(await WebAssembly.instantiate(this.module, {}));
    return this;
  }

  /**
   * The answer to a question asked in JSON text.
   * @param {string} question
   * @param {string} text
   * @returns {ReaderAnswer}
   */
  askText(question, text) {
    if (!this.door) throw new Error("ask after start");
    if (/\p{Surrogate}/u.test(text)) throw new Refused([refusal("text with half a character")]);
    try {
      const [name, json] = [question, text].map((words) => new TextEncoder().encode(words));
      const at = this.door.cellwright_room(name.length + json.length);
      if (at === 0) throw new Refused([refusal("a text that is too long")]);
      const room = new Uint8Array(this.door.memory.buffer, at);
      room.set(name);
      room.set(json, name.length);
      const length = this.door.cellwright_answer(name.length);
      const told = new Uint8Array(this.door.memory.buffer, this.door.cellwright_told(), length);
      const answer = JSON.parse(new TextDecoder().decode(told));
      if (Array.isArray(answer.errors)) throw new Refused(answer.errors);
      return answer;
    } catch (error) {
      // After a defect its memory is not to be trusted: the next question gets a fresh one.
      if (error instanceof WebAssembly.RuntimeError && this.module) this.door = open(new WebAssembly.Instance(this.module, {}));
      throw error;
    }
  }

  /**
   * The answer to a question; every entry is text.
   * @param {string} question
   * @param {Iterable<[string, string]>} entries
   */
  ask(question, entries) {
    return this.askText(question, JSON.stringify(Object.fromEntries(entries)));
  }
}

/** @param {string} given @returns {Mistake} */
const refusal = (given) => ({ code: "not_accepted", path: "", field: "input", message: `input is ${given}: not accepted` });

/** @param {WebAssembly.Instance} instance @returns {Door} */
function open(instance) {
  return /** @type {any} */ (instance.exports);
}
