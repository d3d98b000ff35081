// The vehicle in three dimensions, drawn as a drawing office would: ink lines on
// the ground of the page, hidden lines hidden, orange where high voltage is. Knows
// no page: it is handed corners in the vehicle frame, colours and texts.
import {
  Color,
  PerspectiveCamera,
  Raycaster,
  Scene,
  SRGBColorSpace,
  Vector2,
  Vector3,
  WebGLRenderer,
} from "three";
import { OrbitControls } from "three/addons/controls/OrbitControls.js";
import { type Bounds, boundsOf } from "./bounds";
import { Content } from "./content";
import type { SceneColours, SceneData } from "./data";
import { Labels } from "./labels";
import { picture } from "./picture";

export type Eye = "corner" | "left" | "above" | "front";

const EYES: Record<Eye, [number, number, number]> = {
  corner: [0.8, 0.55, 0.75],
  left: [1, 0.02, 0],
  above: [0.0001, 1, 0],
  front: [0, 0.02, 1],
};

/** Share of the view that the vehicle may fill. */
const MARGIN = 0.92;

export class VehicleScene {
  private readonly renderer: WebGLRenderer;
  private readonly scene = new Scene();
  private readonly camera = new PerspectiveCamera(28, 1, 0.05, 100);
  private readonly controls: OrbitControls;
  private readonly labels: Labels;
  private readonly watcher: ResizeObserver;
  private readonly content = new Content();
  private data: SceneData | null = null;
  private colours: SceneColours;
  private selected = "";
  private bounds: Bounds | null = null;
  private eye: Eye | null = null; // null once it was moved by hand
  private stale = false; // what is drawn is older than what was handed in
  private frame = 0;
  private glide = 0;

  constructor(
    private readonly host: HTMLElement,
    colours: SceneColours,
    private readonly options: { still: boolean; picked: (path: string) => void },
  ) {
    this.colours = colours;
    this.renderer = new WebGLRenderer({ antialias: true, preserveDrawingBuffer: true });
    this.renderer.outputColorSpace = SRGBColorSpace;
    this.renderer.setPixelRatio(Math.min(window.devicePixelRatio, 2));
    this.renderer.domElement.setAttribute("aria-hidden", "true");
    host.append(this.renderer.domElement);
    this.labels = new Labels(host);
    this.controls = new OrbitControls(this.camera, this.renderer.domElement);
    this.controls.enableDamping = false;
    this.controls.maxPolarAngle = Math.PI / 2;
    this.controls.zoomToCursor = true;
    this.controls.enableZoom = false; // until the view has the focus, so that a page can be scrolled over it
    this.controls.addEventListener("change", this.draw);
    this.controls.addEventListener("start", () => {
      this.eye = null;
    });
    this.scene.add(this.content.group);
    host.addEventListener("focus", this.focused);
    host.addEventListener("blur", this.blurred);
    host.addEventListener("pointerdown", this.pressed);
    host.addEventListener("pointerup", this.released);
    this.watcher = new ResizeObserver(this.resize);
    this.watcher.observe(host);
    this.resize();
  }

  /** Draws the vehicle; the eye is set when it is the first one. */
  show(data: SceneData): void {
    const first = !this.data;
    this.data = data;
    this.bounds = boundsOf(data);
    this.stale = true;
    if (first) this.look("corner", true);
    this.draw();
  }

  select(path: string): void {
    if (path === this.selected) return;
    this.selected = path;
    this.stale = true;
    this.draw();
  }

  recolour(colours: SceneColours): void {
    this.colours = colours;
    this.stale = true;
    this.draw();
  }

  /** Draws at once in other colours: paper waits for no frame. */
  print(colours: SceneColours): void {
    this.recolour(colours);
    this.render();
  }

  /** Moves the eye, in a quarter of a second or at once where motion is not wanted. */
  look(eye: Eye, atOnce = this.options.still): void {
    if (!this.bounds) return;
    this.eye = eye;
    const target = new Vector3(...this.bounds.middle);
    const towards = new Vector3(...EYES[eye]).normalize();
    const to = towards.clone().multiplyScalar(this.distance(towards)).add(target);
    cancelAnimationFrame(this.glide);
    if (atOnce) {
      this.place(to, target);
      return;
    }
    const from = this.camera.position.clone();
    const was = this.controls.target.clone();
    const start = performance.now();
    const step = (now: number) => {
      const t = Math.min(1, (now - start) / 250);
      const s = t * t * (3 - 2 * t);
      this.place(from.clone().lerp(to, s), was.clone().lerp(target, s));
      if (t < 1) this.glide = requestAnimationFrame(step);
    };
    this.glide = requestAnimationFrame(step);
  }

  /** Turns and nears the eye by keys; false when the key means nothing here. */
  key(name: string): boolean {
    const turn = Math.PI / 24;
    const offset = this.camera.position.clone().sub(this.controls.target);
    const flatLength = Math.hypot(offset.x, offset.z);
    let around = Math.atan2(offset.x, offset.z);
    let up = Math.atan2(offset.y, flatLength);
    let away = offset.length();
    if (name === "ArrowLeft") around -= turn;
    else if (name === "ArrowRight") around += turn;
    else if (name === "ArrowUp") up = Math.min(Math.PI / 2 - 0.001, up + turn);
    else if (name === "ArrowDown") up = Math.max(0, up - turn);
    else if (name === "+" || name === "=") away /= 1.15;
    else if (name === "-") away *= 1.15;
    else if (name === "Home") {
      this.look("corner");
      return true;
    } else return false;
    this.eye = null;
    const to = new Vector3(
      Math.sin(around) * Math.cos(up),
      Math.sin(up),
      Math.cos(around) * Math.cos(up),
    ).multiplyScalar(away);
    this.place(to.add(this.controls.target), this.controls.target.clone());
    return true;
  }

  /** The picture as it stands, with its labels and a line of words under it, as PNG. */
  png(words: string): Promise<Blob> {
    this.render();
    return picture(this.renderer.domElement, this.labels.list(), words, this.colours);
  }

  dispose(): void {
    cancelAnimationFrame(this.frame);
    cancelAnimationFrame(this.glide);
    this.watcher.disconnect();
    this.controls.dispose();
    this.content.dispose();
    this.host.removeEventListener("focus", this.focused);
    this.host.removeEventListener("blur", this.blurred);
    this.host.removeEventListener("pointerdown", this.pressed);
    this.host.removeEventListener("pointerup", this.released);
    this.labels.dispose();
    this.renderer.dispose();
    this.renderer.forceContextLoss();
    this.renderer.domElement.remove();
  }

  private readonly focused = () => {
    this.controls.enableZoom = true;
  };
  private readonly blurred = () => {
    this.controls.enableZoom = false;
  };

  private down = new Vector2();
  private readonly pressed = (e: PointerEvent) => {
    this.host.focus({ preventScroll: true });
    this.down.set(e.clientX, e.clientY);
  };
  private readonly released = (e: PointerEvent) => {
    if (this.down.distanceTo(new Vector2(e.clientX, e.clientY)) > 4) return; // it was a turn
    const box = this.host.getBoundingClientRect();
    const at = new Vector2(
      ((e.clientX - box.left) / box.width) * 2 - 1,
      1 - ((e.clientY - box.top) / box.height) * 2,
    );
    const ray = new Raycaster();
    ray.setFromCamera(at, this.camera);
    const hit = ray.intersectObjects(this.content.picks, false)[0];
    if (hit) this.options.picked(String(hit.object.userData.path));
  };

  private place(eye: Vector3, target: Vector3): void {
    this.controls.target.copy(target);
    this.camera.position.copy(eye);
    this.controls.update();
    this.draw();
  }

  /** How far away the eye must be in a direction to see every corner, with a margin for labels. */
  private distance(towards: Vector3): number {
    const right = new Vector3(0, 1, 0).cross(towards).normalize();
    const up = towards.clone().cross(right);
    const high = MARGIN * Math.tan((this.camera.fov * Math.PI) / 360);
    const wide = high * this.camera.aspect;
    let away = 0;
    for (const c of this.bounds?.corners ?? []) {
      const p = new Vector3(...c);
      const reach = Math.max(Math.abs(p.dot(right)) / wide, Math.abs(p.dot(up)) / high);
      away = Math.max(away, p.dot(towards) + reach);
    }
    return away;
  }

  private readonly resize = () => {
    const width = this.host.clientWidth;
    const height = this.host.clientHeight;
    if (width === 0 || height === 0) return;
    this.renderer.setSize(width, height, false);
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
    if (this.eye) this.look(this.eye, true);
    this.draw();
  };

  private readonly draw = () => {
    cancelAnimationFrame(this.frame);
    this.frame = requestAnimationFrame(() => this.render());
  };

  private render(): void {
    if (this.stale && this.data) {
      this.stale = false;
      this.content.build(this.data, this.colours, this.selected);
      this.labels.set(this.data.labels);
    }
    this.scene.background = new Color(this.colours.sheet);
    this.renderer.render(this.scene, this.camera);
    this.labels.place(this.camera);
  }
}
