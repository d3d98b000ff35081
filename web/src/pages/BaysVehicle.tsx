// The vehicle in one of the three views: ground, overall size and wheels; and how
// points of the vehicle come to the sheet.

import type { Bays } from "../api/types";
import { type Flat, flat, hull, type Look } from "./baysGeometry";

/** How a view lies on the sheet: place of the vehicle's origin in px, px per metre. */
export interface Frame {
  look: Look;
  x0: number;
  y0: number;
  k: number;
  /** Beyond this no names stand, px. */
  right?: number;
}

export type Corners = readonly (readonly number[])[];

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

export function Vehicle({ f, d }: { f: Frame; d: Bays }) {
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
