// The 3D view as a PNG with its texts, so that the file says what the page says.

import type { SceneColours } from "./data";
import type { PlacedLabel } from "./labels";

export function picture(
  from: HTMLCanvasElement,
  labels: PlacedLabel[],
  words: string,
  colours: SceneColours,
): Promise<Blob> {
  const scale = from.width / Math.max(1, from.clientWidth);
  const strip = Math.round(32 * scale);
  const canvas = document.createElement("canvas");
  canvas.width = from.width;
  canvas.height = from.height + strip;
  const g = canvas.getContext("2d");
  if (!g) return Promise.reject(new Error("this browser draws no pictures"));
  g.fillStyle = colours.sheet;
  g.fillRect(0, 0, canvas.width, canvas.height);
  g.drawImage(from, 0, 0);
  const family = getComputedStyle(document.body).fontFamily;
  g.font = `${Math.round(13 * scale)}px ${family}`;
  g.textAlign = "center";
  g.textBaseline = "middle";
  g.lineJoin = "round";
  for (const l of labels) {
    g.lineWidth = 4 * scale;
    g.strokeStyle = colours.sheet;
    g.strokeText(l.text, l.x * scale, l.y * scale);
    g.fillStyle = colours.ink;
    g.fillText(l.text, l.x * scale, l.y * scale);
  }
  g.fillStyle = colours.ink;
  g.fillRect(0, from.height, canvas.width, Math.max(1, Math.round(scale)));
  g.textAlign = "left";
  g.fillText(words, 12 * scale, from.height + strip / 2, canvas.width - 24 * scale);
  return new Promise((resolve, reject) => {
    canvas.toBlob((b) => (b ? resolve(b) : reject(new Error("the picture could not be made"))), "image/png");
  });
}
