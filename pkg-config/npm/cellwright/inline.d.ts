export * from "./core.js";

/** What the Wasm may come as: its address, its bytes, an answer of `fetch`, or the compiled module. */
export type Source = string | URL | Response | BufferSource | WebAssembly.Module;

/**
 * Starts the Wasm; to be awaited before the first question. Without a source it is the file of this package. Called
 * again it does nothing more, unless it failed before.
 */
export function init(source?: Source): Promise<void>;

export default init;
