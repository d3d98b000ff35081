// The things of the 3D view: vehicle, bays, keep-outs and modules as lines and faces.
import {
  BufferGeometry,
  Color,
  DoubleSide,
  Float32BufferAttribute,
  Group,
  type Material,
  Mesh,
  MeshBasicMaterial,
} from "three";
import { LineMaterial } from "three/addons/lines/LineMaterial.js";
import { LineSegments2 } from "three/addons/lines/LineSegments2.js";
import { LineSegmentsGeometry } from "three/addons/lines/LineSegmentsGeometry.js";
import type { SceneBay, SceneBox, SceneColours, SceneData } from "./data";
import { dashes, edges, face, hatch, SIDES, type Side, wheel } from "./shapes";

/** Width of a tyre as a share of its radius: a symbol, since the donor does not state it. */
const TYRE_WIDTH = 0.55;
const HATCH = 0.045; // m between the lines over a keep-out

export class Content {
  readonly group = new Group();
  picks: Mesh[] = [];
  private readonly materials = new Map<string, Material>();
  private colours: SceneColours = { sheet: "", ink: "", faint: "", accent: "", hv: "" };

  clear(): void {
    for (const child of [...this.group.children]) {
      this.group.remove(child);
      if (child instanceof Mesh) {
        child.geometry.dispose();
      }
    }
    this.picks = [];
  }

  /** Materials are kept: making one anew compiles its shader, which a slow machine feels. */
  private kept<M extends Material>(key: string, make: () => M): M {
    let m = this.materials.get(key) as M | undefined;
    if (!m) {
      m = make();
      this.materials.set(key, m);
    }
    return m;
  }

  private pen(colour: string, width: number): LineMaterial {
    return this.kept(`line ${colour} ${width}`, () => new LineMaterial({ color: colour, linewidth: width }));
  }

  private paper(colour: string): MeshBasicMaterial {
    const make = () =>
      new MeshBasicMaterial({
        color: colour,
        side: DoubleSide,
        polygonOffset: true, // lets the edges lie on their faces
        polygonOffsetFactor: 1.5,
        polygonOffsetUnits: 2,
      });
    return this.kept(`face ${colour}`, make);
  }

  dispose(): void {
    this.clear();
    for (const m of this.materials.values()) m.dispose();
    this.materials.clear();
  }

  private lines(points: number[], colour: string, width: number, order = 0): void {
    if (points.length === 0) return;
    const geometry = new LineSegmentsGeometry();
    geometry.setPositions(points);
    const line = new LineSegments2(geometry, this.pen(colour, width));
    line.renderOrder = order;
    this.group.add(line);
  }

  private faces(points: number[], colour: string): void {
    if (points.length === 0) return;
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", new Float32BufferAttribute(points, 3));
    this.group.add(new Mesh(geometry, this.paper(colour)));
  }

  build(d: SceneData, colours: SceneColours, selected: string): void {
    this.clear();
    this.colours = colours;
    this.vehicle(d);
    for (const b of d.bays) this.bay(b, b.path === selected);
    this.modules(d);
  }

  private vehicle(d: SceneData): void {
    const { ink, faint } = this.colours;
    const width = d.tyreRadius * TYRE_WIDTH;
    const wheels = [
      [0, d.trackFront],
      [d.wheelbase, d.trackRear],
    ].flatMap(([x = 0, track = 0]) =>
      [-track / 2, track / 2].flatMap((y) => wheel(x, y, d.tyreRadius, width)),
    );
    this.lines(wheels, ink, 1);
    const axles = [
      [0, d.trackFront],
      [d.wheelbase, d.trackRear],
    ].flatMap(([x = 0, t = 0]) => dashes([x, -t / 2, d.tyreRadius], [x, t / 2, d.tyreRadius], 0.12, 0.04));
    this.lines(axles, faint, 1);
    if (!d.outline) return;
    const { front, rear, height } = d.outline;
    const half = d.outline.width / 2;
    const corners = Array.from({ length: 8 }, (_, i): [number, number, number] => [
      i & 1 ? d.wheelbase + rear : -front,
      i & 2 ? half : -half,
      i & 4 ? height : 0,
    ]);
    this.lines(edges(corners), faint, 1);
    this.lines(dashes([-front, 0, 0], [d.wheelbase + rear, 0, 0], 0.12, 0.04), faint, 1);
  }

  private bay(b: SceneBay, chosen: boolean): void {
    const { ink, faint, accent } = this.colours;
    this.lines(
      b.boxes.flatMap((x) => edges(x.corners)),
      chosen ? accent : ink,
      chosen ? 2.5 : 1.5,
      1,
    );
    this.lines(
      b.keepOuts.flatMap((k) => edges(k.corners)),
      ink,
      1,
    );
    const hatching = (k: SceneBox) =>
      (Object.keys(SIDES) as Side[]).flatMap((s) => hatch(k.corners, s, HATCH));
    this.lines(b.keepOuts.flatMap(hatching), faint, 1);
    for (const x of b.boxes) {
      const geometry = new BufferGeometry();
      const points = (Object.keys(SIDES) as Side[]).flatMap((s) => face(x.corners, s));
      geometry.setAttribute("position", new Float32BufferAttribute(points, 3));
      const unseen = () => new MeshBasicMaterial({ side: DoubleSide, visible: false });
      const pick = new Mesh(geometry, this.kept("unseen", unseen));
      pick.userData.path = b.path;
      this.group.add(pick);
      this.picks.push(pick);
    }
  }

  /** Modules: paper faces, a little darker on the sides, the side of the terminals in orange. */
  private modules(d: SceneData): void {
    const { sheet, ink, hv } = this.colours;
    const tone = (share: number) => `#${new Color(sheet).lerp(new Color(ink), share).getHexString()}`;
    const tones: Record<Side, string> = {
      top: tone(0.03),
      bottom: tone(0.12),
      left: tone(0.08),
      right: tone(0.08),
      front: tone(0.14),
      rear: tone(0.14),
    };
    const all = d.bays.flatMap((b) => b.modules);
    for (const side of Object.keys(SIDES) as Side[]) {
      const plain = all.filter((m) => m.terminals !== side).flatMap((m) => face(m.corners, side));
      this.faces(plain, tones[side]);
    }
    const live = all.flatMap((m) => (m.terminals in SIDES ? face(m.corners, m.terminals as Side) : []));
    this.faces(live, hv);
    this.lines(
      all.flatMap((m) => edges(m.corners)),
      ink,
      1,
      2,
    );
  }
}
