// One of the three views: vehicle, bays and what stands in them, in ink. Bays are
// buttons; the selected one is dragged by its body, its ends and its keep-outs.

import { Fragment } from "preact";
import type { Bays, Metre } from "../api/types";
import { length } from "../units/show";
import {
  type Bay,
  type Box,
  endDirection,
  endMiddle,
  type Flat,
  flat,
  type Grip,
  hull,
  type Look,
} from "./baysGeometry";
import { refused, selected } from "./baysState";

/** How a view lies on the sheet: place of the vehicle's origin in px, px per metre. */
export interface Frame {
  look: Look;
  x0: number;
  y0: number;
  k: number;
}

export interface ViewEvents {
  onGrip(e: PointerEvent, look: Look, bay: Bay, grip: Grip): void;
  onKey(e: KeyboardEvent, look: Look, bay: Bay): void;
  onKeysEnd(): void;
}

const names: Record<Look, string> = { side: "from the left", top: "from above", front: "from the front" };
const towards: Record<Look, (p: readonly number[]) => number> = {
  side: (p) => p[1] ?? 0,
  top: (p) => p[2] ?? 0,
  front: (p) => -(p[0] ?? 0),
};
/** Corners of the side of a box that the terminals face. */
const sideOf: Record<string, (i: number) => boolean> = {
  front: (i) => !(i & 1),
  rear: (i) => (i & 1) > 0,
  right: (i) => !(i & 2),
  left: (i) => (i & 2) > 0,
  bottom: (i) => !(i & 4),
  top: (i) => (i & 4) > 0,
};

type Corners = readonly (readonly number[])[];

export function toSheet(f: Frame, p: readonly number[]): Flat {
  const [u, v] = flat(f.look, p);
  return [f.x0 + f.k * u, f.y0 + f.k * v];
}

const pointsOf = (list: Flat[]) => list.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" ");

export function outlineOf(f: Frame, corners: Corners): string {
  return pointsOf(hull(corners.map((c) => toSheet(f, c))));
}

function Wheels({ f, d }: { f: Frame; d: Bays }) {
  const r = d.tyre_radius_m;
  const half = (0.55 * r) / 2; // a symbol, as in 3D
  const axles = [
    { x: 0, track: d.track_front_m },
    { x: d.wheelbase_m, track: d.track_rear_m },
  ];
  if (f.look === "side") {
    return axles.map(({ x }) => {
      const [cx, cy] = toSheet(f, [x, 0, r]);
      return (
        <g key={x} class="wheel">
          <circle cx={cx} cy={cy} r={r * f.k} />
          <circle class="faint" cx={cx} cy={cy} r={0.62 * r * f.k} />
          <path class="chain" d={`M${cx} ${cy - 1.25 * r * f.k}V${f.y0 + 6}`} />
        </g>
      );
    });
  }
  return axles.flatMap(({ x, track }, i) =>
    (f.look === "front" && i > 0 ? [] : [-track / 2, track / 2]).map((y) => {
      const corners = [-1, 1].flatMap((a) =>
        [-1, 1].flatMap((b) => [0, 2 * r].map((z) => [x + a * r, y + b * half, z])),
      );
      return <polygon key={`${x} ${y}`} class="wheel" points={outlineOf(f, corners)} />;
    }),
  );
}

function Vehicle({ f, d }: { f: Frame; d: Bays }) {
  const o = d.outline;
  const corners = o
    ? [-o.front_m, d.wheelbase_m + o.rear_m].flatMap((x) =>
        [-o.width_m / 2, o.width_m / 2].flatMap((y) => [0, o.height_m].map((z) => [x, y, z])),
      )
    : [];
  const reach = o
    ? [-o.front_m, d.wheelbase_m + o.rear_m]
    : [-d.tyre_radius_m, d.wheelbase_m + d.tyre_radius_m];
  const wide = o ? o.width_m / 2 : d.track_front_m / 2;
  const [left, right] = f.look === "front" ? [-wide, wide] : reach;
  return (
    <g class="vehicle">
      {f.look === "top" ? null : (
        <path
          class="ground"
          d={`M${f.x0 + f.k * (left ?? 0) - 8} ${f.y0}H${f.x0 + f.k * (right ?? 0) + 8}`}
        />
      )}
      {o ? <polygon class="outline" points={outlineOf(f, corners)} /> : null}
      <Wheels f={f} d={d} />
      {f.look === "side" ? null : f.look === "top" ? (
        <path class="chain" d={`M${f.x0 + f.k * (left ?? 0) - 8} ${f.y0}H${f.x0 + f.k * (right ?? 0) + 8}`} />
      ) : (
        <path class="chain" d={`M${f.x0} ${f.y0 + 6}V${f.y0 - f.k * (o?.height_m ?? 1) - 8}`} />
      )}
    </g>
  );
}

function Modules({ f, bay }: { f: Frame; bay: Bay }) {
  const near = (c: Corners) => Math.max(...c.map(towards[f.look]));
  const list = [...bay.places].sort((a, b) => near(a.corners_m) - near(b.corners_m));
  return (
    <g class="modules">
      {list.map((p) => {
        const face = p.corners_m.filter((_, i) => sideOf[p.terminals]?.(i));
        const mean = (c: Corners) => c.reduce((s, q) => s + towards[f.look](q), 0) / c.length;
        const depth = face.length > 0 ? mean(face) - mean(p.corners_m) : 0;
        const key = p.corners_m[0]?.map((x) => x.toFixed(4)).join();
        return (
          <g key={key}>
            <polygon class="module" points={outlineOf(f, p.corners_m)} />
            {depth < -1e-3 ? null : <polygon class="terminals" points={outlineOf(f, face)} />}
          </g>
        );
      })}
    </g>
  );
}

/** Half the side of what catches a pointer: smaller on a small box, so that its body can be held too. */
function catchOf(f: Frame, box: Box): number {
  const seen = box.corners_m.map((c) => toSheet(f, c));
  const extent = ([0, 1] as const).map(
    (i) => Math.max(...seen.map((p) => p[i])) - Math.min(...seen.map((p) => p[i])),
  );
  return Math.min(18, Math.max(7, Math.min(...extent) / 5));
}

function Handles({ f, bay, on }: { f: Frame; bay: Bay; on: ViewEvents }) {
  return (
    <g class="handles">
      {bay.boxes.flatMap((box: Box, index) =>
        ([0, 1, 2] as const).flatMap((axis) =>
          [false, true].map((far) => {
            const dir = endDirection(f.look, bay, axis, far);
            if (!dir) return null;
            const [x, y] = toSheet(f, endMiddle(box, axis, far));
            const reach = catchOf(f, box);
            const way = Math.abs(dir[0]) > Math.abs(dir[1]) ? "handle across" : "handle up";
            const grip: Grip = { kind: "end", box: index, axis, far };
            return (
              <g
                key={`${index} ${axis} ${far}`}
                class={way}
                onPointerDown={(e) => on.onGrip(e, f.look, bay, grip)}
              >
                <rect class="catch" x={x - reach} y={y - reach} width={2 * reach} height={2 * reach} />
                <rect class="knob" x={x - 4} y={y - 4} width="8" height="8" />
              </g>
            );
          }),
        ),
      )}
    </g>
  );
}

function words(look: Look, bay: Bay): string {
  const [x, y, z] = bay.at_m.map((v) => length(v as Metre));
  const n = bay.places.length;
  const what = `corner ${x} behind the front axle, ${y} left of the centre line, ${z} above the ground`;
  return `${bay.name}, seen ${names[look]}: ${what}; ${n} ${n === 1 ? "module" : "modules"}`;
}

interface Name {
  x: number;
  y: number;
}

/** Names over the bays, the selected first and then the nearest, as long as they do not meet. */
function namesOf(f: Frame, nearestFirst: Bay[]): Map<string, Name> {
  const out = new Map<string, Name>();
  const taken: { x0: number; x1: number; y: number }[] = [];
  for (const b of nearestFirst) {
    const all = b.boxes.flatMap((x) => x.corners_m.map((c) => toSheet(f, c)));
    const xs = all.map((p) => p[0]);
    const x = (Math.min(...xs) + Math.max(...xs)) / 2;
    const y = Math.min(...all.map((p) => p[1])) - 5;
    const half = b.name.length * 3.6 + 4;
    if (taken.some((t) => x - half < t.x1 && x + half > t.x0 && Math.abs(y - t.y) < 16)) continue;
    taken.push({ x0: x - half, x1: x + half, y });
    out.set(b.path, { x, y });
  }
  return out;
}

function BayMark({ f, bay, name, on }: { f: Frame; bay: Bay; name: Name | undefined; on: ViewEvents }) {
  const chosen = selected.value === bay.path;
  return (
    <Fragment>
      {/* biome-ignore lint/a11y/useSemanticElements: a button of HTML cannot stand in a drawing */}
      <g
        class={chosen ? "bay is-selected" : "bay"}
        role="button"
        tabIndex={0}
        aria-pressed={chosen}
        aria-label={words(f.look, bay)}
        data-bay={bay.path}
        data-look={f.look}
        onPointerDown={(e) => on.onGrip(e, f.look, bay, { kind: "bay" })}
        onKeyDown={(e) => on.onKey(e, f.look, bay)}
        onFocus={() => {
          selected.value = bay.path;
        }}
        onBlur={on.onKeysEnd}
      >
        {bay.boxes.map((b) => (
          <polygon key={b.path} class="box" points={outlineOf(f, b.corners_m)} />
        ))}
        <title>{bay.name}</title>
        <Modules f={f} bay={bay} />
        {name ? (
          <text class="name" x={name.x} y={name.y}>
            {bay.name}
          </text>
        ) : null}
      </g>
      <g class={chosen ? "keep-outs is-selected" : "keep-outs"}>
        {bay.keep_outs.map((b, index) => (
          <polygon
            key={b.path}
            class="keep-out"
            points={outlineOf(f, b.corners_m)}
            onPointerDown={(e) =>
              on.onGrip(e, f.look, bay, chosen ? { kind: "keep-out", index } : { kind: "bay" })
            }
          />
        ))}
      </g>
    </Fragment>
  );
}

export function BaysView({ f, d, bays, on }: { f: Frame; d: Bays; bays: Bay[]; on: ViewEvents }) {
  const near = (b: Bay) => Math.max(...b.boxes.flatMap((x) => x.corners_m.map(towards[f.look])));
  const chosen = bays.find((b) => b.path === selected.value);
  const list = [...bays].sort((a, b) => near(a) - near(b));
  const named = namesOf(f, chosen ? [chosen, ...list.toReversed()] : list.toReversed());
  const no = refused.value?.bay;
  return (
    <g class="bays-view" data-view={f.look} data-x0={f.x0} data-y0={f.y0} data-k={f.k}>
      <Vehicle f={f} d={d} />
      {list.map((b) => (
        <BayMark key={b.path} f={f} bay={b} name={named.get(b.path)} on={on} />
      ))}
      {no
        ? no.boxes.map((b) => <polygon key={b.path} class="refused" points={outlineOf(f, b.corners_m)} />)
        : null}
      {chosen ? <Handles f={f} bay={chosen} on={on} /> : null}
    </g>
  );
}
