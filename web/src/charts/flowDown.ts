// Lays out the bands of an energy flow for a narrow sheet. The trunk runs down
// along one straight left edge; losses and uses leave its right edge, each on a
// level of its own with its words beside it; what braking gives back runs up on
// the left.

import { type Band, type FlowLinkIn, type FlowNodeIn, type FlowPlan, passing, r1, ranks } from "./flow";

const POST = 3;
const TOP = 24;
/** least height from post to post */
const PITCH = 58;
/** from level to level, beside the band itself */
const LEVEL = 10;
/** height of a line of words */
const LINE = 18;
/** room for the names of the posts */
const NAMES = 168;
const BACK_GAP = 10;
const FEED = 30;

interface Ground {
  links: readonly FlowLinkIn[];
  rank: Map<string, number>;
  names: Map<string, string>;
  scale: number;
  line: number; // left edge of the trunk
  ends: number; // where the ends of losses and uses stand
  y: Map<string, number>;
}

const sum = (links: readonly FlowLinkIn[]) => links.reduce((s, l) => s + l.energy_j, 0);

/** The losses and uses of a post, the one on the right edge first. */
const sinksOf = (id: string, g: Pick<Ground, "links" | "rank">) =>
  g.links.filter((l) => l.from === id && !l.returned && !g.rank.has(l.to)).toReversed();

const heightOf = (l: FlowLinkIn, scale: number) => Math.max(l.energy_j / scale, LINE) + LEVEL;

/** planDown lays the flow out in px. */
export function planDown(
  nodes: readonly FlowNodeIn[],
  all: readonly FlowLinkIn[],
  { width, trunk }: { width: number; trunk: number },
): FlowPlan {
  const links = all.filter((l) => l.energy_j > 0);
  const rank = ranks(nodes, links);
  const onTrunk = nodes.filter((n) => rank.has(n.id));
  const scale = Math.max(...onTrunk.map((n) => passing(n.id, links)), 1e-9) / trunk;
  const back = Math.max(0, ...links.filter((l) => l.returned).map((l) => l.energy_j)) / scale;
  const line = NAMES + (back > 0 ? back + BACK_GAP : 0);
  const y = new Map<string, number>();
  let foot = TOP;
  for (let r = 0; r <= Math.max(0, ...rank.values()); r++) {
    const here = onTrunk.filter((n) => rank.get(n.id) === r);
    let high = PITCH;
    for (const n of here) {
      y.set(n.id, foot);
      const sinks = sinksOf(n.id, { links, rank });
      high = Math.max(
        high,
        sinks.reduce((s, l) => s + heightOf(l, scale), LEVEL + 6),
      );
    }
    foot += high;
  }
  const names = new Map(nodes.map((n) => [n.id, n.name]));
  const g: Ground = { links, rank, names, scale, line, ends: line + trunk + 40, y };
  const posts = onTrunk.map((n) => {
    const level = y.get(n.id) ?? 0;
    const side = (out: boolean) =>
      sum(links.filter((l) => !l.returned && (out ? l.from : l.to) === n.id)) / scale;
    const up = Math.max(
      ...[true, false].map(
        (out) => sum(links.filter((l) => l.returned && (out ? l.from : l.to) === n.id)) / scale,
      ),
    );
    const left = up > 0 ? line - BACK_GAP - up : line;
    return {
      id: n.id,
      name: n.name,
      x: left,
      top: level,
      bottom: level + POST,
      across: line + Math.max(side(true), side(false)) - left,
      words: { x: 0, y: level + 4 },
      energy: passing(n.id, links),
    };
  });
  return { posts, bands: bandsDown(g), width, height: Math.ceil(foot), scale };
}

function bandsDown(g: Ground): Band[] {
  const out: Band[] = [];
  const leaving = new Map<string, number>();
  const coming = new Map<string, number>();
  const take = (used: Map<string, number>, id: string, w: number) => {
    const x = used.get(id) ?? g.line;
    used.set(id, x + w);
    return x;
  };
  const level = (id: string) => g.y.get(id) ?? 0;
  const band = (l: FlowLinkIn, kind: Band["kind"], d: string, at: { x: number; y: number }): Band => ({
    from: l.from,
    to: l.to,
    energy: l.energy_j,
    kind,
    d,
    at,
    anchor: "start",
    name: g.names.get(l.to) ?? l.to,
    oneLine: true,
  });
  for (const l of g.links) {
    const w = l.energy_j / g.scale;
    if (l.returned) {
      const x = g.line - BACK_GAP - w;
      const [low, high] = [level(l.from), level(l.to) + POST];
      out.push(band(l, "returned", upright(x, high, x, low, w), { x: x - 8, y: (low + high) / 2 + 5 }));
    } else if (g.rank.has(l.from) && g.rank.has(l.to)) {
      const from = take(leaving, l.from, w);
      const to = take(coming, l.to, w);
      out.push(
        band(l, "forward", upright(from, level(l.from) + POST, to, level(l.to), w), {
          x: from,
          y: level(l.to),
        }),
      );
    }
  }
  for (const l of g.links.filter((k) => !g.rank.has(k.from))) {
    const w = l.energy_j / g.scale;
    const x = take(coming, l.to, w);
    const y = level(l.to);
    const b = band(l, "feed", upright(x, y - FEED, x, y, w), { x: x + w + 8, y: y - FEED / 2 });
    out.push({ ...b, name: `${g.names.get(l.from) ?? l.from} gives` });
  }
  for (const id of g.y.keys()) sinksDown(id, g, leaving, out, band);
  return out;
}

/** sinksDown leads the losses and uses of a post to the right, the rightmost on the highest level. */
function sinksDown(
  id: string,
  g: Ground,
  leaving: Map<string, number>,
  out: Band[],
  band: (l: FlowLinkIn, kind: Band["kind"], d: string, at: { x: number; y: number }) => Band,
): void {
  const mine = sinksOf(id, g);
  let edge = (leaving.get(id) ?? g.line) + sum(mine) / g.scale;
  let y = (g.y.get(id) ?? 0) + POST + LEVEL;
  for (const l of mine) {
    const w = l.energy_j / g.scale;
    edge -= w;
    const top = y + Math.max(0, (LINE - w) / 2);
    out.push(
      band(l, "sink", corner(edge, (g.y.get(id) ?? 0) + POST, w, top, g.ends), {
        x: g.ends + 8,
        y: top + w / 2 + 5,
      }),
    );
    y += heightOf(l, g.scale);
  }
}

/** upright is a band of width w from one level edge down to another. */
function upright(x0: number, y0: number, x1: number, y1: number, w: number): string {
  const m = r1((y0 + y1) / 2);
  return (
    `M${r1(x0)} ${r1(y0)}C${r1(x0)} ${m} ${r1(x1)} ${m} ${r1(x1)} ${r1(y1)}` +
    `H${r1(x1 + w)}C${r1(x1 + w)} ${m} ${r1(x0 + w)} ${m} ${r1(x0 + w)} ${r1(y0)}Z`
  );
}

/** corner is a band that leaves downward at (x, y), turns to the right on the level top and ends in a point. */
function corner(x: number, y: number, w: number, top: number, end: number): string {
  const r = Math.min(6, Math.max(0, top - y));
  const outer = w + r;
  return (
    `M${r1(x)} ${r1(y)}V${r1(top - r)}A${r1(outer)} ${r1(outer)} 0 0 0 ${r1(x + outer)} ${r1(top + w)}` +
    `H${r1(end - 6)}L${r1(end)} ${r1(top + w / 2)}L${r1(end - 6)} ${r1(top)}H${r1(x + w + r)}` +
    `A${r1(r)} ${r1(r)} 0 0 1 ${r1(x + w)} ${r1(top - r)}V${r1(y)}Z`
  );
}
