// Lays out the bands of an energy flow. The trunk runs from left to right along
// one straight upper edge; losses and uses peel off its lower edge and sink;
// what braking gives back runs above the trunk from right to left.

export interface FlowNodeIn {
  id: string;
  name: string;
  kind: "supply" | "stage" | "loss" | "use";
}
export interface FlowLinkIn {
  from: string;
  to: string;
  energy_j: number;
  returned: boolean;
}

export interface Post {
  id: string;
  name: string;
  x: number;
  top: number;
  bottom: number;
  /** energy that passes, J */
  energy: number;
  /** width of one that lies; one that stands is as thin as a line */
  across?: number;
  /** where its words stand, if not over it */
  words?: { x: number; y: number };
}
export interface Band {
  from: string;
  to: string;
  energy: number;
  kind: "forward" | "returned" | "sink" | "feed" | "end";
  d: string;
  /** where its words stand */
  at: { x: number; y: number };
  anchor: "start" | "middle";
  name: string;
  /** name and figure stand in one line */
  oneLine?: boolean;
}
export interface FlowPlan {
  posts: Post[];
  bands: Band[];
  width: number;
  height: number;
  /** J per px */
  scale: number;
}

export interface FlowSize {
  width: number;
  /** px of the widest band */
  trunk: number;
}

const POST = 3;
const TOP = 46;
const SINK = 54;
const FEED = 36;
/** height of a name and its figure */
const WORDS = 38;
/** room right of the last post, for what is used there */
const TAIL = 190;

/** isEnd reports whether a node stands off the trunk: a loss or a use. A use may also give, as a road does that goes down. */
const isEnd = (n: FlowNodeIn | undefined) => n?.kind === "loss" || n?.kind === "use";

/** ranks puts every node of the trunk into a column: one right of the furthest that feeds it forward. */
export function ranks(nodes: readonly FlowNodeIn[], links: readonly FlowLinkIn[]): Map<string, number> {
  const rank = new Map<string, number>();
  for (const n of nodes) {
    if (!isEnd(n) && links.some((l) => l.from === n.id || l.to === n.id)) rank.set(n.id, 0);
  }
  // A chain of n nodes needs n passes at most; a ring, which has no end, stops there.
  for (let pass = 0; pass < nodes.length; pass++) {
    let moved = false;
    for (const l of links) {
      if (l.returned || !rank.has(l.from) || !rank.has(l.to)) continue;
      const wish = (rank.get(l.from) ?? 0) + 1;
      if (wish > (rank.get(l.to) ?? 0)) {
        rank.set(l.to, wish);
        moved = true;
      }
    }
    if (!moved) break;
  }
  return rank;
}

/** passing is the energy that goes through a node. */
export function passing(id: string, links: readonly FlowLinkIn[]): number {
  let into = 0;
  let out = 0;
  for (const l of links) {
    if (l.to === id) into += l.energy_j;
    if (l.from === id) out += l.energy_j;
  }
  return Math.max(into, out);
}

/** plan lays the flow out in px. */
export function plan(
  nodes: readonly FlowNodeIn[],
  all: readonly FlowLinkIn[],
  { width, trunk }: FlowSize,
): FlowPlan {
  const links = all.filter((l) => l.energy_j > 0);
  const rank = ranks(nodes, links);
  const most = Math.max(...rank.values(), 1);
  const greatest = Math.max(...nodes.filter((n) => rank.has(n.id)).map((n) => passing(n.id, links)), 1e-9);
  const scale = greatest / trunk;
  const left = 60;
  const pitch = (width - left - TAIL) / most;
  const back = Math.max(0, ...links.filter((l) => l.returned).map((l) => l.energy_j)) / scale;
  const line = TOP + (back > 0 ? back + 30 : 0);
  const byId = new Map(nodes.map((n) => [n.id, n]));
  const posts = new Map<string, Post>();
  for (const n of nodes) {
    const r = rank.get(n.id);
    if (r === undefined) continue;
    const side = (out: boolean) =>
      links.filter((l) => !l.returned && (out ? l.from : l.to) === n.id).reduce((s, l) => s + l.energy_j, 0);
    const up = Math.max(
      0,
      ...[true, false].map((out) =>
        links.filter((l) => l.returned && (out ? l.from : l.to) === n.id).reduce((s, l) => s + l.energy_j, 0),
      ),
    );
    posts.set(n.id, {
      id: n.id,
      name: n.name,
      x: left + r * pitch,
      top: up > 0 ? line - 10 - up / scale : line,
      bottom: line + Math.max(side(true), side(false)) / scale,
      energy: passing(n.id, links),
    });
  }
  const bands = bandsOf({ links, posts, byId, rank, scale, line, pitch });
  const low = Math.max(
    ...bands.map((b) => b.at.y),
    ...[...posts.values()].map((p) => p.bottom),
    line + trunk,
  );
  return { posts: [...posts.values()], bands, width, height: Math.ceil(low + 34), scale };
}

interface Ground {
  links: readonly FlowLinkIn[];
  posts: Map<string, Post>;
  byId: Map<string, FlowNodeIn>;
  rank: Map<string, number>;
  scale: number;
  line: number;
  pitch: number;
}

function bandsOf(g: Ground): Band[] {
  const out: Band[] = [];
  const leaving = new Map<string, number>();
  const coming = new Map<string, number>();
  const take = (used: Map<string, number>, id: string, w: number) => {
    const y = used.get(id) ?? g.line;
    used.set(id, y + w);
    return y;
  };
  const forward = (l: FlowLinkIn) => !l.returned && g.rank.has(l.from) && g.rank.has(l.to);
  // The trunk first, so that it keeps the upper edge; sinks peel off beneath.
  for (const l of g.links.filter(forward)) {
    const [a, b] = [g.posts.get(l.from), g.posts.get(l.to)];
    if (!a || !b) continue;
    const w = l.energy_j / g.scale;
    const y0 = take(leaving, l.from, w);
    const y1 = take(coming, l.to, w);
    out.push({
      ...words(l, g),
      kind: "forward",
      d: ribbon(a.x + POST, y0, b.x, y1, w),
      at: middle(a, b, (y0 + y1 + w) / 2),
    });
  }
  for (const l of g.links.filter((k) => k.returned)) {
    const [a, b] = [g.posts.get(l.from), g.posts.get(l.to)];
    if (!a || !b) continue;
    const w = l.energy_j / g.scale;
    const y = g.line - 10 - w;
    out.push({
      ...words(l, g),
      kind: "returned",
      d: ribbon(b.x + POST, y, a.x, y, w),
      at: { x: (a.x + b.x) / 2, y: y - 6 },
    });
  }
  for (const l of g.links.filter((k) => !g.rank.has(k.from))) {
    const b = g.posts.get(l.to);
    if (!b) continue;
    const w = l.energy_j / g.scale;
    const y = take(coming, l.to, w);
    const name = g.byId.get(l.from)?.name ?? l.from;
    const d = ribbon(b.x - FEED, y, b.x, y, w);
    out.push({
      ...words(l, g),
      name: `${name} gives`,
      kind: "feed",
      d,
      at: { x: b.x - FEED, y: y + w + 14 },
    });
  }
  out.push(...ends(g, leaving));
  sinks(g, leaving, out);
  return out;
}

/** lastOf is the post at which the trunk ends. */
function lastOf(g: Ground): Post | undefined {
  return [...g.posts.values()].sort((a, b) => b.x - a.x)[0];
}

const goesOn = (l: FlowLinkIn, last: Post | undefined, g: Ground) =>
  l.from === last?.id && !l.returned && g.byId.get(l.to)?.kind === "use";

/** ends leads what is used at the last post straight on, spread out so that each has room for its words. */
function ends(g: Ground, leaving: Map<string, number>): Band[] {
  const last = lastOf(g);
  if (!last) return [];
  let low = last.top - 12;
  let middle = Number.NEGATIVE_INFINITY;
  return g.links
    .filter((l) => goesOn(l, last, g))
    .map((l) => {
      const w = l.energy_j / g.scale;
      const y0 = leaving.get(last.id) ?? g.line;
      leaving.set(last.id, y0 + w);
      const y1 = Math.max(low, y0 - 12, middle + WORDS - w / 2);
      low = y1 + w + 6;
      middle = y1 + w / 2;
      const x = last.x + 60;
      const d = ribbon(last.x + POST, y0, x, y1, w);
      return { ...words(l, g), kind: "end", d, at: { x: x + 6, y: y1 + w / 2 - 3 }, anchor: "start" };
    });
}

/** sinks hangs the losses of each post beneath it, side by side, each ending on a level of its own. */
function sinks(g: Ground, leaving: Map<string, number>, out: Band[]): void {
  const floor = Math.max(...[...g.posts.values()].map((p) => p.bottom)) + SINK;
  for (const post of g.posts.values()) {
    const last = lastOf(g);
    const mine = g.links.filter((l) => l.from === post.id && !g.rank.has(l.to) && !goesOn(l, last, g));
    let x = post.x + POST + 8;
    // The one that peels off last, from the lowest edge, turns down first.
    const tops = mine.map((l) => {
      const w = l.energy_j / g.scale;
      const y = leaving.get(post.id) ?? g.line;
      leaving.set(post.id, y + w);
      return { l, w, y };
    });
    tops.reverse().forEach(({ l, w, y }, i) => {
      // The leftmost goes deepest, so that no band runs through the words of another.
      // Those of one alone stand on the first level, next to which others would not fit.
      const end = floor + (tops.length > 1 ? tops.length - i : 0) * WORDS;
      out.push({
        ...words(l, g),
        kind: "sink",
        d: elbow(post.x + POST, y, x, w, end),
        at: { x: tops.length > 1 ? x : x + w / 2, y: end + 14 },
        anchor: tops.length > 1 ? "start" : "middle",
      });
      x += w + 10;
    });
  }
}

function words(l: FlowLinkIn, g: Ground) {
  return {
    from: l.from,
    to: l.to,
    energy: l.energy_j,
    name: g.byId.get(l.to)?.name ?? l.to,
    anchor: "middle" as const,
  };
}

const middle = (a: Post, b: Post, y: number) => ({ x: (a.x + b.x) / 2, y });
export const r1 = (v: number) => Math.round(v * 10) / 10;

/** ribbon is a band of width w from one upright edge to another. */
function ribbon(x0: number, y0: number, x1: number, y1: number, w: number): string {
  const m = (x0 + x1) / 2;
  return (
    `M${r1(x0)} ${r1(y0)}C${r1(m)} ${r1(y0)} ${r1(m)} ${r1(y1)} ${r1(x1)} ${r1(y1)}` +
    `V${r1(y1 + w)}C${r1(m)} ${r1(y1 + w)} ${r1(m)} ${r1(y0 + w)} ${r1(x0)} ${r1(y0 + w)}Z`
  );
}

/** elbow is a band that leaves level at (x0, y0) and turns down to stand between x and x + w, ending in a point. */
function elbow(x0: number, y0: number, x: number, w: number, end: number): string {
  const r = x - x0;
  const outer = r + w;
  return (
    `M${r1(x0)} ${r1(y0)}A${r1(outer)} ${r1(outer)} 0 0 1 ${r1(x + w)} ${r1(y0 + outer)}` +
    `V${r1(end - 6)}L${r1(x + w / 2)} ${r1(end)}L${r1(x)} ${r1(end - 6)}V${r1(y0 + outer)}` +
    `A${r1(r)} ${r1(r)} 0 0 0 ${r1(x0)} ${r1(y0 + w)}Z`
  );
}
