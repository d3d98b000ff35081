// Pictures out of the page: a drawn svg becomes a file that looks the same
// without our style sheet, always on paper (light) ground.

const INKED = [
  "fill",
  "fill-opacity",
  "stroke",
  "stroke-width",
  "stroke-dasharray",
  "stroke-linecap",
  "stroke-linejoin",
  "stroke-opacity",
  "opacity",
  "font-family",
  "font-size",
  "font-weight",
  "font-style",
  "text-anchor",
  "visibility",
] as const;

const NS = "http://www.w3.org/2000/svg";

/**
 * standalone returns the text of an svg file of the drawing, its colours and
 * sizes written into it. What is of class picture-only is hidden on the screen
 * and shown in the file; data-foot says how much room it needs below.
 */
export function standalone(svg: SVGSVGElement): string {
  return onPaper(() => {
    const copy = svg.cloneNode(true) as SVGSVGElement;
    ink(svg, copy);
    const box = svg.viewBox.baseVal;
    const width = box?.width || svg.clientWidth;
    const foot = Number(svg.dataset.foot ?? 0);
    const height = (box?.height || svg.clientHeight) + foot;
    copy.setAttribute("xmlns", NS);
    copy.setAttribute("viewBox", `${box?.x ?? 0} ${box?.y ?? 0} ${width} ${height}`);
    copy.setAttribute("width", String(width));
    copy.setAttribute("height", String(height));
    const ground = document.createElementNS(NS, "rect");
    ground.setAttribute("x", String(box?.x ?? 0));
    ground.setAttribute("y", String(box?.y ?? 0));
    ground.setAttribute("width", String(width));
    ground.setAttribute("height", String(height));
    ground.setAttribute("fill", getComputedStyle(svg).getPropertyValue("--sheet").trim() || "#fff");
    copy.insertBefore(ground, copy.firstChild);
    for (const el of copy.querySelectorAll(".catch, .screen-only")) el.remove();
    return `<?xml version="1.0" encoding="UTF-8"?>\n${new XMLSerializer().serializeToString(copy)}\n`;
  });
}

/** ink writes the computed style of every element of the drawing into its copy. */
function ink(from: Element, to: Element): void {
  const style = getComputedStyle(from);
  for (const name of INKED) {
    const value = style.getPropertyValue(name);
    if (value !== "") to.setAttribute(name, value);
  }
  for (const name of ["class", "style", "tabindex", "data-picture", "data-foot"]) to.removeAttribute(name);
  const a = from.children;
  const b = to.children;
  for (let i = 0; i < a.length; i++) {
    const [x, y] = [a[i], b[i]];
    if (x && y) ink(x, y);
  }
}

/** onPaper runs the work under the light theme; the browser paints nothing in between. */
function onPaper<T>(work: () => T): T {
  const root = document.documentElement;
  const was = root.dataset.theme;
  root.dataset.theme = "light";
  try {
    return work();
  } finally {
    if (was === undefined) delete root.dataset.theme;
    else root.dataset.theme = was;
  }
}
