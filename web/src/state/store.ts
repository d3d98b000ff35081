// What the page knows of the project, kept fresh by the event stream, and the
// only way to change it.

import { computed, signal } from "@preact/signals";
import { type Fault, faultOf, get, post } from "../api/client";
import { type Events, follow, type Link, type Topic } from "../api/events";
import type { Change, Conflict, EditReply, EditRequest, Op, Problem, SearchState, State } from "../api/types";

/** The name of this tab among the pages that follow the project. */
export const client = `${Date.now().toString(36)}${Math.random().toString(36).slice(2, 8)}`;

export const state = signal<State | null>(null);
export const link = signal<Link>("opening");
/** Set when the project could not be asked for at all. */
export const unreachable = signal<Fault | null>(null);
/** The last change that another page or another program made. */
export const foreign = signal<Change | null>(null);
/** Edits on their way. */
export const pending = signal(0);
/** Two edits of one value: the user chooses. */
export const conflict = signal<Clash | null>(null);
/** A line that tells what just happened, read aloud. */
export const notice = signal("");

export const revision = computed(() => state.value?.revision ?? 0);
export const headline = computed(() => state.value?.headline ?? null);
export const search = computed<SearchState | null>(() => state.value?.search ?? null);
export const broken = computed(() => state.value?.broken ?? null);
export const failed = computed(() => state.value?.failed ?? "");
export const present = computed(() => state.value?.present ?? false);
/** The server has told its state. */
export const known = computed(() => state.value !== null);
/** Option that the builder has fixed, and that of the headline; "" for none. */
export const chosen = computed(() => state.value?.chosen ?? "");
export const leading = computed(() => headline.value?.option ?? "");
export const schedule = computed(() => state.value?.schedule ?? "");
export const currency = computed(() => state.value?.currency ?? "");
export const busy = computed(() => pending.value > 0 || (search.value?.running ?? false));

export interface Clash {
  conflicts: Conflict[];
  revision: number;
  /** Writes mine over theirs, or leaves theirs. */
  settle(mine: boolean): void;
}

type Heard = (topic: Topic, data: Events[Topic]) => void;
const ears = new Set<Heard>();

/** Calls back at every event until the returned function is called. */
export function listen(heard: Heard): () => void {
  ears.add(heard);
  return () => ears.delete(heard);
}

function patch(part: Partial<State>) {
  const s = state.value;
  if (!s || Object.entries(part).every(([k, v]) => s[k as keyof State] === v)) return;
  state.value = { ...s, ...part };
}

const without = (s: State, key: "broken" | "failed"): State => {
  const { [key]: _, ...rest } = s;
  return rest as State;
};

function onChange(c: Change) {
  const s = state.value;
  if (s && c.revision >= s.revision) {
    const { by: _b, by_client: _c, parts: _p, paths: _q, answers: _a, headline: h, ...same } = c;
    state.value = { ...without(s, "failed"), ...same, ...(h ? { headline: h } : {}), present: true };
  }
  if (c.by_client !== client) foreign.value = c;
}

const on: { [T in Topic]?: (data: Events[T]) => void } = {
  state: (s) => {
    // Another start of the server has another history; nothing old is kept.
    state.value = s;
    unreachable.value = null;
  },
  change: onChange,
  headline: (h) => patch({ headline: h }),
  progress: (p) => {
    const s = search.value;
    if (s && !p.preview) patch({ search: { ...s, running: true, done: p.done, total: p.total } });
  },
  options: (o) => patch({ search: o }),
  broken: (b) => patch({ broken: b }),
  mended: () => {
    if (state.value) state.value = without(state.value, "broken");
  },
  failed: (f) => patch({ failed: f.message, headline: null }),
};

function onEvent<T extends Topic>(topic: T, data: Events[T]) {
  on[topic]?.(data);
  for (const heard of ears) heard(topic, data);
}

/** Asks for the state and follows the events; called once at the start. */
export function start(): () => void {
  void reload();
  return follow(client, {
    onEvent,
    onLink: (l) => {
      link.value = l;
    },
  });
}

/** Asks for the whole state anew. */
export async function reload(): Promise<void> {
  try {
    state.value = await get<State>("/api/state");
    unreachable.value = null;
  } catch (e) {
    unreachable.value = faultOf(e);
  }
}

/** What became of an edit: null when it is written. */
export type Outcome = Fault | null;

let tail: Promise<unknown> = Promise.resolve();

/** Runs one edit after the other, so that each is based on the one before. */
function inTurn<T>(work: () => Promise<T>): Promise<T> {
  const next = tail.then(work, work);
  tail = next.catch(() => undefined);
  return next;
}

async function counted<T>(work: () => Promise<T>): Promise<T> {
  pending.value++;
  try {
    return await work();
  } finally {
    pending.value--;
  }
}

/** The event of a change tells the same, mostly sooner; then nothing is drawn again. */
function took(r: EditReply) {
  const s = state.peek();
  const told = s !== null && s.revision >= r.revision;
  if (!told) patch({ revision: r.revision, undo: r.undo, redo: r.redo });
  if (r.merged) notice.value = "written together with a change from elsewhere";
}

/** Asks the user which of two values holds, and writes mine if so. */
function clash(fault: Fault, request: EditRequest): Promise<Outcome> {
  return new Promise((done) => {
    conflict.value = {
      conflicts: fault.detail?.conflicts ?? [],
      revision: fault.detail?.revision ?? revision.value,
      settle: (mine) => {
        conflict.value = null;
        if (!mine) done(fault);
        else done(send({ ...request, base: fault.detail?.revision ?? revision.value, force: true }));
      },
    };
  });
}

async function send(request: EditRequest): Promise<Outcome> {
  try {
    took(await counted(() => post<EditReply>("/api/edits", request)));
    return null;
  } catch (e) {
    const fault = faultOf(e);
    if (fault.kind !== "conflict" || request.force) return fault;
    return clash(fault, request);
  }
}

/**
 * Writes ops as one step. base is the revision in which the user saw what is
 * changed; left out, it is the newest one. Resolves when it is written, refused,
 * or the user has chosen between two values.
 */
export function edit(ops: Op[], base?: number): Promise<Outcome> {
  return inTurn(() => send({ base: base ?? revision.value, client, ops }));
}

/** Whether ops would be accepted; nothing is written. */
export async function check(ops: Op[], signal?: AbortSignal): Promise<Outcome> {
  try {
    await post("/api/check", { base: revision.value, client, ops }, signal);
    return null;
  } catch (e) {
    return faultOf(e);
  }
}

function step(path: "/api/undo" | "/api/redo"): Promise<Outcome> {
  return inTurn(async () => {
    try {
      took(await counted(() => post<EditReply>(path, { base: revision.value, client })));
      return null;
    } catch (e) {
      const fault = faultOf(e);
      notice.value = fault.message;
      return fault;
    }
  });
}
export const undo = () => step("/api/undo");
export const redo = () => step("/api/redo");

/** Makes a project in the empty folder. */
export async function create(title: string, ops: Op[]): Promise<Outcome> {
  try {
    took(await counted(() => post<EditReply>("/api/project", { client, title, ops })));
    await reload();
    return null;
  } catch (e) {
    return faultOf(e);
  }
}

const placeOf = (p: Problem) =>
  [p.pos.file, p.pos.line ? `line ${p.pos.line}` : "", p.path].filter(Boolean).join(", ");

/** The problem of a refused edit that belongs to path, else its first, else the message. */
export function problemAt(fault: Fault, path?: string): { message: string; hint?: string } {
  const list: Problem[] = fault.detail?.problems ?? [];
  const p = list.find((q) => q.path === path) ?? list[0];
  if (p?.pos.file && p.pos.file !== "packyard.yaml")
    return { ...(p.hint === undefined ? {} : { hint: p.hint }), message: `${placeOf(p)}: ${p.message}` };
  if (p) return p.hint === undefined ? { message: p.message } : { message: p.message, hint: p.hint };
  return fault.hint === undefined ? { message: fault.message } : { message: fault.message, hint: fault.hint };
}
