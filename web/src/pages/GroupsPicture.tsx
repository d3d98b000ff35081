// All groups in their true places, each with its figure at one time.

import { useMemo, useRef } from "preact/hooks";
import type { GroupMap } from "../api/types";
import { useWidth } from "../charts/size";
import * as show from "../units/show";
import {
  type DrawnGroup,
  type DrawnModule,
  density,
  type Elevation,
  elevations,
  ends,
  widened,
} from "./groupsLayout";
import "./Groups.css";

interface Props {
  map: GroupMap;
  /** "temperature", "voltage" */
  noun: string;
  /** SI, of every group at the time that is shown */
  now: readonly number[];
  /** SI, of every group at all times: what ink is scaled by; left out, it is scaled by the time that is shown */
  all?: readonly number[];
  /** SI: ink is never scaled finer than this, so that noise stays light */
  least?: number;
  /** when it is, in words */
  when: string;
}

/** px: so wide is the thinnest group drawn, so that its figure stands in it, if the sheet is wide enough. */
const SLAB = 30;
/** px for a metre: bays of few, thick groups are not blown up, those of many are not lost */
const PX_LEAST = 260;
const PX_MOST = 700;
/** px of one digit, and of a line */
const DIGIT = 6.2;
const LINE = 12;

/** GroupsPicture draws each bay from the side: modules in ink, groups as slabs, value by density and figure. */
export function GroupsPicture({ map, noun, now, all, least = 0, when }: Props) {
  const holder = useRef<HTMLDivElement>(null);
  const width = useWidth(holder);
  const sheets = useMemo(() => elevations(map), [map]);
  const bounds = useMemo(() => widened(ends(all ?? now), least), [all ?? now, least]);
  const scale = show.scale(noun, bounds, noun === "voltage" ? 4 : 3);
  const [lo, hi] = ends(now);
  if (sheets.length === 0) {
    return <p class="quiet">The places of the groups are not known{map.why ? `: ${map.why}` : ""}.</p>;
  }
  const widest = Math.max(...sheets.map((s) => s.width));
  const px = Math.min(
    Math.max(PX_LEAST, Math.min(PX_MOST, SLAB / thinnest(sheets))),
    Math.max(0, width - 2) / widest,
  );
  const named = (v: number) => `${scale.text(v)}\u00a0${scale.unit}`;
  return (
    <div class="groups" ref={holder}>
      <p class="groups-now">
        {when}: from <strong>{named(lo)}</strong> (group {now.indexOf(lo) + 1}) to{" "}
        <strong>{named(hi)}</strong> (group {now.indexOf(hi) + 1})
      </p>
      <div class="elevations">
        {px > 0 &&
          sheets.map((s) => (
            <Sheet
              key={`${s.bay} ${s.from} ${s.row}`}
              of={s}
              px={px}
              now={now}
              bounds={bounds}
              text={scale.text}
              named={named}
            />
          ))}
      </div>
      <p class="quiet groups-key">
        Figures in {scale.unit}; ink: <Ramp /> from {named(bounds[0])} to {named(bounds[1])}, the ends{" "}
        {all ? "of the whole run" : "at this time"}. + and −: the pole towards the viewer; poles turn from one
        group to the next, beginning with + in each module. Below a module: its first and last group.
      </p>
    </div>
  );
}

/** The thinnest group of all, m. */
const thinnest = (sheets: readonly Elevation[]) =>
  sheets
    .flatMap((s) => s.modules)
    .flatMap((m) => m.groups.map((g) => (m.upright ? g.height : g.width)))
    .reduce((a, b) => Math.min(a, b), 1);

function Ramp() {
  return (
    <svg class="ramp" width="60" height="12" aria-hidden="true">
      {[0, 0.25, 0.5, 0.75, 1].map((v, i) => (
        <rect
          key={v}
          class="slab-ink"
          x={12 * i}
          y="0.5"
          width="12"
          height="11"
          fill-opacity={density(v, 0, 1)}
        />
      ))}
    </svg>
  );
}

interface SheetProps {
  of: Elevation;
  px: number;
  now: readonly number[];
  bounds: readonly [number, number];
  text(si: number): string;
  named(si: number): string;
}

function Sheet({ of: e, px, now, bounds, text, named }: SheetProps) {
  const width = Math.ceil(e.width * px) + 2;
  const height = Math.ceil(e.height * px) + 20;
  const figures = e.modules.flatMap((m) => m.groups.map((g) => now[g.group - 1] ?? 0));
  const [lo, hi] = ends(figures);
  const name = `${e.bay}, from the ${e.from}${e.row > 0 ? `, row ${e.row}` : ""}`;
  return (
    <figure class="elevation">
      <figcaption>{name}</figcaption>
      <svg
        width={width}
        height={height}
        role="img"
        aria-label={`${name}: ${figures.length} groups from ${named(lo)} to ${named(hi)}`}
      >
        <rect class="bay-line" x="0.5" y="0.5" width={e.width * px} height={e.height * px} />
        {e.modules.map((m) => (
          <Module
            key={m.number}
            of={m}
            px={px}
            floor={e.height * px}
            now={now}
            bounds={bounds}
            text={text}
            named={named}
          />
        ))}
        {e.modules.map((m) => (
          <text
            key={m.number}
            class="module-ends"
            x={(m.x + m.width / 2) * px}
            y={(e.height - m.y) * px + 14}
            text-anchor="middle"
          >
            {[...new Set([m.groups[0]?.group, m.groups.at(-1)?.group])].join(" … ")}
          </text>
        ))}
      </svg>
    </figure>
  );
}

interface ModuleProps extends Omit<SheetProps, "of"> {
  of: DrawnModule;
  floor: number;
}

function Module({ of: m, px, floor, now, bounds, text, named }: ModuleProps) {
  const x = m.x * px + 0.5;
  const top = floor - (m.y + m.height) * px + 0.5;
  return (
    <g>
      <rect class="module-line" x={x} y={top} width={m.width * px} height={m.height * px} />
      {m.groups.map((g) => (
        <Slab
          key={g.group}
          of={g}
          upright={m.upright}
          px={px}
          floor={floor}
          value={now[g.group - 1] ?? 0}
          bounds={bounds}
          text={text}
          named={named}
        />
      ))}
    </g>
  );
}

interface SlabProps extends Omit<ModuleProps, "of" | "now"> {
  of: DrawnGroup;
  upright: boolean;
  value: number;
}

function Slab({ of: g, upright, px, floor, value, bounds, text, named }: SlabProps) {
  const w = g.width * px;
  const h = g.height * px;
  const x = g.x * px + 0.5;
  const y = floor - (g.y + g.height) * px + 0.5;
  const figure = text(value);
  const turned = !upright && w < DIGIT * figure.length;
  const room = (turned ? w : h) >= LINE;
  const sign = upright ? h >= LINE && w >= 70 : w >= 7 && h >= 40;
  const cx = x + w / 2;
  const cy = y + h / 2 + (sign && !upright ? 5 : 0);
  return (
    <g>
      <rect
        class="slab-ink"
        x={x}
        y={y}
        width={w}
        height={h}
        fill-opacity={density(value, bounds[0], bounds[1])}
      />
      <rect class="slab-line" x={x} y={y} width={w} height={h} />
      {room && (
        <text
          class="slab-figure"
          x={cx}
          y={cy}
          text-anchor="middle"
          dominant-baseline="central"
          {...(turned ? { transform: `rotate(-90 ${cx} ${cy})` } : {})}
        >
          {figure}
        </text>
      )}
      {sign && (
        <text class="slab-pole" x={upright ? x + 10 : cx} y={upright ? cy + 4 : y + 12} text-anchor="middle">
          {g.plus ? "+" : "−"}
        </text>
      )}
      <title>{`group ${g.group}: ${named(value)}`}</title>
    </g>
  );
}
