// For the page around a frame: takes its height, and nothing else, from frames of the class "cellwright-frame" alone.

addEventListener("message", ({ source, data }) => {
  if (typeof data !== "object" || data === null || data.type !== "cellwright-height" || data.version !== 1 || !Number.isInteger(data.height)) return;
  for (const frame of /** @type {NodeListOf<HTMLIFrameElement>} */ (document.querySelectorAll("iframe.cellwright-frame"))) {
    if (frame.contentWindow === source) frame.style.height = `${Math.min(Math.max(data.height, 120), 4000)}px`;
  }
});
