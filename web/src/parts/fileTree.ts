// The values of the file, arranged for forms: single values under the mapping
// that holds them, and lists with their entries.

import type { Field, FileReply, ItemField, ListForm, Op, Value } from "../api/types";

/** One value, or a row of three (a place, a size). */
export interface Leaf {
  path: string;
  key: string;
  fields: Field[];
}
export interface Section {
  path: string;
  title: string;
  leaves: Leaf[];
}
/** A key of a list's entries: one value, or a row of three. */
export interface ItemKey {
  key: string;
  parts: ItemField[];
}
export interface Entry {
  path: string;
  leaves: Map<string, Leaf>;
  lists: List[];
}
export interface List {
  path: string;
  title: string;
  keys: ItemKey[];
  entries: Entry[];
}
export interface Tree {
  sections: Section[];
  lists: List[];
}

/** A key as words: "state_of_health", "cabin.heater_max". */
export const words = (key: string) => key.replaceAll("_", " ").replaceAll(".", ", ");
/** The names of the three values of a row. */
export const axisNames = ["x rearward", "y left", "z up"];

/** Whether a value is a number with its unit. */
export function isFigure(part: { noun: string } | undefined): boolean {
  return part !== undefined && !["text", "yes or no"].includes(part.noun);
}

/** "drive.auxiliaries.cabin" as words, without its first part. */
function titleOf(path: string): string {
  const parts = path.split(".");
  return words(parts.length > 1 ? parts.slice(1).join(".") : path);
}

/** The path without the index of a row of three. */
const rowPath = (path: string) => path.replace(/\[\d+\]$/, "");
const parent = (path: string) => path.slice(0, Math.max(0, path.lastIndexOf(".")));
const lastKey = (path: string) => path.slice(path.lastIndexOf(".") + 1);

/** Joins the fields of a row of three; a list of plain values is a row too. */
function leavesOf(fields: readonly Field[]): Leaf[] {
  const out = new Map<string, Leaf>();
  for (const f of fields) {
    const path = rowPath(f.path);
    const leaf = out.get(path);
    if (leaf) leaf.fields.push(f);
    else out.set(path, { path, key: words(lastKey(path)), fields: [f] });
  }
  return [...out.values()];
}

export function keysOf(form: ListForm): ItemKey[] {
  const out = new Map<string, ItemKey>();
  for (const part of form.item) {
    const key = rowPath(part.key);
    const known = out.get(key);
    if (known) known.parts.push(part);
    else out.set(key, { key, parts: [part] });
  }
  return [...out.values()];
}

function listOf(form: ListForm, fields: readonly Field[], forms: readonly ListForm[]): List {
  const entries = Array.from({ length: form.count }, (_, i) => {
    const path = `${form.path}[${i}]`;
    const inner = forms.filter((f) => f.path.startsWith(`${path}.`));
    const own = fields.filter((f) => f.path.startsWith(`${path}.`));
    const lists = outermost(inner).map((f) => listOf(f, own, inner));
    const plain = own.filter((f) => !inner.some((l) => f.path.startsWith(`${l.path}[`)));
    const leaves = new Map(leavesOf(plain).map((l) => [l.path.slice(path.length + 1), l]));
    return { path, leaves, lists };
  });
  return { path: form.path, title: titleOf(form.path), keys: keysOf(form), entries };
}

/** The lists that lie in no other. */
function outermost(forms: readonly ListForm[]): ListForm[] {
  return forms.filter((f) => !forms.some((o) => f.path.startsWith(`${o.path}[`)));
}

/** Everything under one of the prefixes, "road" or "donor.ratings". */
export function treeOf(file: FileReply, prefixes: readonly string[], but: readonly string[] = []): Tree {
  const under = (path: string, list: readonly string[]) =>
    list.some((p) => path === p || path.startsWith(`${p}.`) || path.startsWith(`${p}[`));
  const mine = (path: string) => under(path, prefixes) && !under(path, but);
  const forms = file.lists.filter((l) => mine(l.path));
  const fields = file.fields.filter((f) => mine(f.path));
  const plain = fields.filter((f) => !forms.some((l) => f.path.startsWith(`${l.path}[`)));
  const sections = new Map<string, Section>();
  for (const leaf of leavesOf(plain)) {
    const path = parent(leaf.path);
    const section = sections.get(path);
    if (section) section.leaves.push(leaf);
    else sections.set(path, { path, title: titleOf(path), leaves: [leaf] });
  }
  return { sections: [...sections.values()], lists: outermost(forms).map((f) => listOf(f, fields, forms)) };
}

export const given = (leaf: Leaf) => leaf.fields.some((f) => f.given);
export const needed = (leaf: Leaf) => leaf.fields.some((f) => f.required);

/** The words that a value accepts, if it is a choice. */
export function choices(f: { noun: string; one_of?: string[] }): readonly string[] | undefined {
  if (f.one_of && f.one_of.length > 0) return f.one_of;
  return f.noun === "yes or no" ? ["yes", "no"] : undefined;
}

/**
 * A new entry of a list from what was typed, by item key ("mass", "at[0]").
 * What is empty is left out, so that the server says what is missing.
 */
export function entryValue(texts: Readonly<Record<string, string>>): Value {
  const out: { [key: string]: Value } = {};
  for (const [key, text] of Object.entries(texts)) {
    if (text.trim() === "") continue;
    const row = /^(.*)\[(\d+)\]$/.exec(key);
    if (row) putRow(out, row[1] ?? "", Number(row[2]), text);
    else put(out, key.split("."), text);
  }
  return out;
}

function put(into: { [key: string]: Value }, keys: readonly string[], value: Value) {
  const [first = "", ...rest] = keys;
  if (rest.length === 0) {
    into[first] = value;
    return;
  }
  const known = into[first];
  const next = typeof known === "object" && !Array.isArray(known) ? known : {};
  into[first] = next;
  put(next, rest, value);
}

function putRow(into: { [key: string]: Value }, key: string, index: number, text: string) {
  const known = into[key];
  const row = Array.isArray(known) ? known : [];
  row[index] = text;
  into[key] = [...row].map((v) => v ?? "");
}

/**
 * The ops that set one of a row of three. A row that is not there yet is made
 * with its three values at once; those that are still empty read as zero.
 */
export function opsForRow(leaf: Leaf, index: number, text: string): Op[] {
  const path = `${leaf.path}[${index}]`;
  if (given(leaf)) return [{ op: "set", path, text }];
  const row = leaf.fields.map((_, i) => (i === index ? text : "0 m"));
  return [{ op: "insert", path: leaf.path, value: row }];
}
