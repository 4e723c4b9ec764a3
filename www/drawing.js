// Draws the crate's shapes as nodes; colours come from the style sheet, one class an ink.

const SVG = "http://www.w3.org/2000/svg";

/**
 * @param {string} tag
 * @param {Record<string, string | number>} attributes
 */
function node(tag, attributes) {
  const element = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, String(value));
  return element;
}

const ENDS = { left: "start", middle: "middle", right: "end" };

/** @param {import("cellwright").Shape} shape */
function drawn(shape) {
  if ("path" in shape) {
    const { points, closed, ink } = shape.path;
    return node(closed ? "polygon" : "polyline", { points: points.map(([x, y]) => `${x},${y}`).join(" "), class: closed ? `ink ${ink} inside` : `ink ${ink}` });
  }
  if ("circle" in shape) {
    const { x, y, radius, ink } = shape.circle;
    return node("circle", { cx: x, cy: y, r: radius, class: `ink ${ink} inside` });
  }
  if ("box" in shape) {
    const { x, y, width, height, ink } = shape.box;
    return node("rect", { x, y, width, height, class: `ink ${ink} inside` });
  }
  const { x, y, text, size, anchor, ink } = shape.text;
  const words = node("text", { x, y, "font-size": size, "text-anchor": ENDS[anchor], class: `letters ${ink}` });
  words.textContent = text;
  return words;
}

/**
 * A drawing as one picture with its title for those who do not see it.
 * @param {import("cellwright").Drawing} drawing
 * @param {string} [kind] class of the picture
 */
export function picture(drawing, kind = "") {
  const { title, width, height, unit_m, line, shapes } = drawing;
  const svg = node("svg", { viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": title, class: `drawing ${kind}` });
  // The size on paper is the crate's; the style sheet decides whether it is used.
  svg.style.setProperty("--line", String(line));
  svg.style.setProperty("--wide", `${(width * unit_m * 1000).toFixed(2)}mm`);
  svg.append(...shapes.map(drawn));
  return svg;
}
