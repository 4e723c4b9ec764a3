// What the build puts in place: the style sheet and the Wasm as text, and what is known only then.

declare module "cellwright-embed-style" {
  const css: string;
  export default css;
}

declare module "cellwright-embed-text" {
  const text: string;
  export default text;
}

declare const SHORT_INTEGRITY: string;
declare const WHOLE_INTEGRITY: string;
declare const VERSION: string;
