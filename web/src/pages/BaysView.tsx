// One of the three views: vehicle, bays and what stands in them, in ink. Bays are
// buttons; the selected one is dragged by its body, its ends and its keep-outs.

import { Fragment } from "preact";
import type { Bays, Metre } from "../api/types";
import { length } from "../units/show";
import { BaysNames } from "./BaysNames";
import { type Corners, type Frame, outlineOf, toSheet, Vehicle } from "./BaysVehicle";
import { type Bay, type Box, endDirection, endMiddle, type Grip, type Look } from "./baysGeometry";
import { refused, selected } from "./baysState";

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

function BayMark({ f, bay, on }: { f: Frame; bay: Bay; on: ViewEvents }) {
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
        onBlur={on.onKeysEnd}
      >
        {bay.boxes.map((b) => (
          <polygon key={b.path} class="box" points={outlineOf(f, b.corners_m)} />
        ))}
        <title>{bay.name}</title>
        <Modules f={f} bay={bay} />
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
  const no = refused.value?.bay;
  return (
    <g class="bays-view" data-view={f.look} data-x0={f.x0} data-y0={f.y0} data-k={f.k}>
      <Vehicle f={f} d={d} />
      {list.map((b) => (
        <BayMark key={b.path} f={f} bay={b} on={on} />
      ))}
      <BaysNames f={f} nearestFirst={chosen ? [chosen, ...list.toReversed()] : list.toReversed()} />
      {no
        ? no.boxes.map((b) => <polygon key={b.path} class="refused" points={outlineOf(f, b.corners_m)} />)
        : null}
      {chosen ? <Handles f={f} bay={chosen} on={on} /> : null}
    </g>
  );
}
