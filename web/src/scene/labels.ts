// Texts over the 3D view: real text, placed where its point is seen.
import { type Camera, Vector3 } from "three";
import type { SceneLabel } from "./data";
import { toView } from "./shapes";

export interface PlacedLabel {
  text: string;
  kind: SceneLabel["kind"];
  x: number; // CSS pixels from the corner of the view
  y: number;
}

export class Labels {
  private readonly layer = document.createElement("div");
  private items: { label: SceneLabel; element: HTMLElement; x: number; y: number; shown: boolean }[] = [];

  constructor(private readonly host: HTMLElement) {
    this.layer.className = "scene-labels";
    this.layer.setAttribute("aria-hidden", "true"); // the page says the same in words
    host.append(this.layer);
  }

  set(labels: SceneLabel[]): void {
    this.items = labels.map((label) => {
      const element = document.createElement("span");
      element.className = `scene-label scene-label-${label.kind}`;
      element.textContent = label.text;
      return { label, element, x: 0, y: 0, shown: false };
    });
    this.layer.replaceChildren(...this.items.map((i) => i.element));
  }

  place(camera: Camera): void {
    const width = this.host.clientWidth;
    const height = this.host.clientHeight;
    for (const i of this.items) {
      const p = new Vector3(...toView(i.label.at)).project(camera);
      i.x = ((p.x + 1) / 2) * width;
      i.y = ((1 - p.y) / 2) * height;
      i.shown = p.z < 1;
      i.element.hidden = !i.shown;
      i.element.style.transform = `translate(-50%, -50%) translate(${i.x.toFixed(1)}px, ${i.y.toFixed(1)}px)`;
    }
  }

  list(): PlacedLabel[] {
    return this.items
      .filter((i) => i.shown)
      .map((i) => ({ text: i.label.text, kind: i.label.kind, x: i.x, y: i.y }));
  }

  dispose(): void {
    this.layer.remove();
  }
}
