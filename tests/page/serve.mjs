// A small server of this machine alone, for what a page from the disk cannot show: policies as headers, and requests.

import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { fileURLToPath } from "node:url";

const FOLDER = fileURLToPath(new URL("../../dist/embed/", import.meta.url));
const KINDS = { html: "text/html; charset=utf-8", js: "text/javascript; charset=utf-8", mjs: "text/javascript; charset=utf-8", css: "text/css; charset=utf-8", wasm: "application/wasm", json: "application/json" };

/**
 * Serves `dist/embed` and the given pages; `address` is its own, `asked` lists every path asked for.
 * @param {Record<string, string>} [pages] markup by path, such as "/host.html"
 * @param {Record<string, string>} [policies] content security policy by path
 */
export function serve(pages = {}, policies = {}) {
  const asked = [];
  const server = createServer((request, response) => {
    const path = new URL(request.url, "http://localhost").pathname;
    asked.push(path);
    const policy = policies[path];
    if (policy) response.setHeader("content-security-policy", policy);
    response.setHeader("content-type", KINDS[path.split(".").pop()] ?? "text/plain");
    try {
      response.end(Object.hasOwn(pages, path) ? pages[path] : readFileSync(FOLDER + path.slice(1).replaceAll("..", "")));
    } catch {
      response.statusCode = 404;
      response.end();
    }
  });
  return new Promise((resolve) => {
    server.listen(0, "127.0.0.1", () => {
      const address = `http://127.0.0.1:${server.address().port}`;
      const close = () => new Promise((closed) => { server.close(closed); server.closeAllConnections(); });
      resolve({ address, asked, close, pages, policies });
    });
  });
}
