// What the form of a new project asks for, and the ops that its answers make.
// It starts from the template of the server; what is left as it is stays so.

import type { Field, FileReply, Op, Value } from "../api/types";

export interface Question {
  path: string;
  name: string;
  /** Not needed: may be emptied. */
  open?: boolean;
  /** What it means, where the words of the file are those of a whole list. */
  doc?: string;
}
export interface QuestionGroup {
  title: string;
  note: string;
  questions: readonly Question[];
}

const fromWhere = [
  "from the front axle line; negative before it",
  "from the centre line; negative to the right",
  "from the ground",
];
const row = (path: string, name: string): Question[] =>
  ["rearward", "left", "up"].map((axis, i) => ({
    path: `${path}[${i}]`,
    name: `${name}, ${axis}`,
    doc: fromWhere[i] ?? "",
  }));

export const groups: readonly QuestionGroup[] = [
  {
    title: "Vehicle",
    note: "from its papers and a tape measure",
    questions: [
      { path: "donor.wheelbase", name: "wheelbase" },
      { path: "donor.track.front", name: "track, front" },
      { path: "donor.track.rear", name: "track, rear", open: true },
      { path: "donor.tyre.size", name: "tyre size" },
      { path: "donor.centre_of_gravity_height", name: "height of the centre of gravity", open: true },
      { path: "road.drag_coefficient", name: "drag coefficient", doc: "of the body" },
      { path: "road.frontal_area", name: "frontal area", doc: "seen from the front, tyres included" },
      { path: "road.rolling_coefficient", name: "rolling coefficient" },
    ],
  },
  {
    title: "On the scale",
    note: "before anything is taken out; and what it may weigh",
    questions: [
      {
        path: "donor.weighed.front",
        name: "front axle, weighed",
        doc: "the whole vehicle level, one axle on the scale",
      },
      { path: "donor.weighed.rear", name: "rear axle, weighed", doc: "likewise" },
      {
        path: "donor.ratings.gross",
        name: "gross rating",
        open: true,
        doc: "what the whole vehicle may weigh",
      },
      {
        path: "donor.ratings.front_axle",
        name: "front axle rating",
        open: true,
        doc: "what the axle may bear",
      },
      { path: "donor.ratings.rear_axle", name: "rear axle rating", open: true, doc: "likewise" },
    ],
  },
  {
    title: "Drive",
    note: "parts of the catalogue",
    questions: [
      { path: "drive.unit", name: "motor" },
      { path: "drive.inverter", name: "inverter" },
      { path: "drive.charger", name: "charger", open: true },
      { path: "drive.converter", name: "12 V converter", open: true },
      { path: "drive.driven_axle", name: "driven axle" },
    ],
  },
  {
    title: "One bay",
    note: "a space for modules; its corner nearest to the front, right and ground",
    questions: [
      { path: "bays[0].name", name: "name" },
      ...row("bays[0].at", "corner"),
      { path: "bays[0].size[0]", name: "length", doc: "rearward" },
      { path: "bays[0].size[1]", name: "width", doc: "to the left" },
      { path: "bays[0].size[2]", name: "height", doc: "up" },
      { path: "bays[0].opens", name: "opens to", open: true },
    ],
  },
  {
    title: "One lot of cells or modules",
    note: "that can be had",
    questions: [
      { path: "sources[0].name", name: "name, without blanks" },
      { path: "sources[0].part", name: "part" },
      { path: "sources[0].count", name: "pieces" },
      { path: "sources[0].price", name: "price of a piece", open: true },
    ],
  },
  {
    title: "What it is to do",
    note: "a schedule, a range on it, and what the pack may cost",
    questions: [
      { path: "targets.schedule", name: "schedule" },
      { path: "targets.range", name: "range wanted", open: true },
      { path: "targets.price_limit", name: "price limit", open: true },
      { path: "targets.coldest_day", name: "coldest day", open: true },
      { path: "targets.hottest_day", name: "hottest day", open: true },
    ],
  },
];

export interface Answers {
  title: string;
  currency: string;
  texts: Record<string, string>;
  /** Kind of the lot; it follows from the part. */
  lotKind: string;
  ledger: LedgerEntry[];
  /** The figures are those of a real vehicle. */
  real: boolean;
}
export interface LedgerEntry {
  list: "removed" | "added";
  name: string;
  mass: string;
  at: [string, string, string];
}

function textAt(file: FileReply, path: string): string {
  return file.fields.find((f) => f.path === path)?.text ?? "";
}

function ledgerOf(file: FileReply, list: "removed" | "added"): LedgerEntry[] {
  const count = file.lists.find((l) => l.path === `donor.${list}`)?.count ?? 0;
  return Array.from({ length: count }, (_, i) => {
    const at = `donor.${list}[${i}]`;
    return {
      list,
      name: textAt(file, `${at}.name`),
      mass: textAt(file, `${at}.mass`),
      at: [textAt(file, `${at}.at[0]`), textAt(file, `${at}.at[1]`), textAt(file, `${at}.at[2]`)],
    };
  });
}

/** The answers that the template gives. Its last bay is the example, since it holds a whole pack. */
export function answersOf(file: FileReply): Answers {
  const texts: Record<string, string> = {};
  const last = Math.max(0, (file.lists.find((l) => l.path === "bays")?.count ?? 1) - 1);
  for (const g of groups) {
    for (const q of g.questions) texts[q.path] = textAt(file, q.path.replace(/^bays\[0\]/, `bays[${last}]`));
  }
  return {
    title: "",
    currency: textAt(file, "currency"),
    texts,
    lotKind: textAt(file, "sources[0].kind"),
    ledger: [...ledgerOf(file, "removed"), ...ledgerOf(file, "added")],
    real: false,
  };
}

export function fieldAt(file: FileReply, path: string): Field | undefined {
  return file.fields.find((f) => f.path === path);
}

function listOps(file: FileReply, path: string, keep: number): Op[] {
  const count = file.lists.find((l) => l.path === path)?.count ?? 0;
  const ops: Op[] = [];
  for (let i = count - 1; i >= keep; i--) ops.push({ op: "delete", path: `${path}[${i}]` });
  return ops;
}

/** An amount of money with its currency, where a bare number was written. */
function priced(path: string, text: string, currency: string): string {
  const money = path.endsWith("price") || path.endsWith("price_limit");
  return money && /^[\d\s.,]+$/.test(text) ? `${text.trim()} ${currency}` : text;
}

function changed(file: FileReply, a: Answers): Op[] {
  const ops: Op[] = [];
  for (const q of groups.flatMap((g) => g.questions)) {
    const before = fieldAt(file, q.path);
    const text = priced(q.path, a.texts[q.path] ?? "", a.currency);
    if (text === before?.text) {
      // A price of the template is in the currency of the template.
      if (before.noun === "price" && a.currency !== textAt(file, "currency")) {
        ops.push({ op: "set", path: q.path, text: text.replace(/[A-Z]{3}$/, a.currency) });
      }
      continue;
    }
    if (text.trim() !== "") ops.push({ op: "set", path: q.path, text });
    else if (q.open && before?.given) ops.push({ op: "delete", path: q.path });
    else ops.push({ op: "set", path: q.path, text: "" });
  }
  return ops;
}

function ledgerOps(file: FileReply, a: Answers): Op[] {
  const same = JSON.stringify([...ledgerOf(file, "removed"), ...ledgerOf(file, "added")]);
  if (same === JSON.stringify(a.ledger)) return [];
  const ops: Op[] = [];
  for (const list of ["removed", "added"] as const) {
    const entries = a.ledger.filter((e) => e.list === list);
    ops.push({ op: "delete", path: `donor.${list}` });
    const value: Value = entries.map(({ name, mass, at }) => ({ name, mass, at: [...at] }));
    if (entries.length > 0) ops.push({ op: "insert", path: `donor.${list}`, value });
  }
  return ops;
}

/** The ops that make the template the project of the answers. */
export function opsOf(file: FileReply, a: Answers): Op[] {
  const ops: Op[] = [...listOps(file, "bays", 1), ...listOps(file, "sources", 1)];
  if (a.real) ops.push({ op: "delete", path: "invented" });
  if (a.currency !== textAt(file, "currency")) ops.push({ op: "set", path: "currency", text: a.currency });
  if (a.lotKind !== textAt(file, "sources[0].kind"))
    ops.push({ op: "set", path: "sources[0].kind", text: a.lotKind });
  return [...ops, ...changed(file, a), ...ledgerOps(file, a)];
}
