// What a page asks of the server, asked again when an event says that it is old.

import { batch, effect, type Signal, signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { aborted, type Fault, faultOf, get } from "../api/client";
import type { Topic } from "../api/events";
import type { Change } from "../api/types";
import { share } from "./share";
import { link, listen } from "./store";

export interface Resource<T> {
  /** The newest answer; stays while a newer one is on its way. */
  data: T | null;
  fault: Fault | null;
  /** A question is on its way. */
  busy: boolean;
  reload(): void;
}

interface Entry {
  data: Signal<unknown>;
  fault: Signal<Fault | null>;
  busy: Signal<boolean>;
  fresh: boolean;
  users: number;
  topics: readonly Topic[];
  asked: AbortController | null;
  /** It became old while it was asked for. */
  again: boolean;
}

const entries = new Map<string, Entry>();
/** Answers that nobody shows are forgotten beyond this many. */
const keptMost = 40;
/** A wait shorter than this is not shown. */
const waitShownMs = 200;

function forgetOld() {
  for (const [path, e] of entries) {
    if (entries.size <= keptMost) return;
    if (e.users === 0) entries.delete(path);
  }
}

function entryFor(path: string, topics: readonly Topic[]): Entry {
  let e = entries.get(path);
  if (!e) {
    forgetOld();
    e = {
      data: signal<unknown>(null),
      fault: signal<Fault | null>(null),
      busy: signal(false),
      fresh: false,
      users: 0,
      topics,
      asked: null,
      again: false,
    };
    entries.set(path, e);
  }
  return e;
}

/** Faults of which the banner tells: there is no server, or it does not know this page. */
const awayKinds: ReadonlySet<Fault["kind"]> = new Set(["unreachable", "key"]);

/** Takes an answer that nobody had to ask for. */
function take(path: string, data: unknown) {
  const e = entries.get(path);
  if (!e) return;
  e.asked?.abort();
  e.asked = null;
  e.again = false;
  e.fresh = true;
  awaited.delete(e);
  batch(() => {
    e.data.value = share(e.data.peek(), data);
    e.fault.value = null;
    e.busy.value = false;
  });
}

async function ask(path: string, e: Entry) {
  e.asked?.abort();
  const mine = new AbortController();
  e.asked = mine;
  e.again = false;
  e.fresh = true;
  // A short wait is not shown: marking what stands there as old would cost more
  // time than it takes to be made new.
  const late = setTimeout(
    () => {
      if (e.asked === mine) e.busy.value = true;
    },
    e.data.peek() === null ? 0 : waitShownMs,
  );
  try {
    const data = await get<unknown>(path, mine.signal);
    if (e.asked !== mine) return;
    clearTimeout(late);
    batch(() => {
      e.data.value = share(e.data.peek(), data);
      e.fault.value = null;
      e.busy.value = false;
    });
  } catch (error) {
    clearTimeout(late);
    if (e.asked !== mine || aborted(error)) return;
    e.fresh = false;
    const fault = faultOf(error);
    // Without a server the banner says so, once for all; what stands here stays, as old.
    if (awayKinds.has(fault.kind) && e.data.peek() !== null) {
      e.busy.value = true;
      e.asked = null;
      awaited.delete(e);
      return;
    }
    e.fault.value = fault;
  }
  e.asked = null;
  if (awaited.delete(e)) askSoon();
  // What came is shown at once, even if it is old by now; the newest follows.
  if (e.again && e.users > 0) void ask(path, e);
  else e.busy.value = false;
}

/** How long after a change its outcomes are waited for before anything else is asked. */
const outcomesMs = 150;
const due = new Map<string, Entry>();
/** Outcomes that were asked for at the last change and are not there yet. */
const awaited = new Set<Entry>();
let timer: ReturnType<typeof setTimeout> | undefined;

function askNow(path: string, e: Entry) {
  if (e.asked) e.again = true;
  else if (e.users > 0) void ask(path, e);
}

function askDue() {
  clearTimeout(timer);
  timer = undefined;
  for (const [path, e] of due) askNow(path, e);
  due.clear();
}

/** Topics that follow a change, with what was worked out of it. */
const outcomes: readonly Topic[] = ["headline", "assessed"];
/** The outcomes that belong to the last change, and were asked for with it. */
const expected = new Set<Topic>();

/** Asks for what is due when the outcomes of the last change are drawn, or are late. */
function askSoon() {
  const wait = expected.has("headline") || awaited.size > 0;
  if (wait && timer !== undefined) return;
  clearTimeout(timer);
  timer = setTimeout(askDue, wait ? outcomesMs : 0);
}

// What a change leads to is asked for at once: the server answers when it has worked
// it out, which it does once for all who ask. The rest waits for that and for the
// headline, which all pages show, so as not to keep the server from them.
// Where the change brings its outcomes itself, they are taken in with it.
listen((topic, data) => {
  if (topic === "progress") return;
  const change = topic === "change" ? (data as Change) : null;
  const brought = new Set(change?.answers?.map((a) => a.path));
  for (const a of change?.answers ?? []) take(a.path, a.body);
  if (change) {
    for (const o of outcomes) {
      if (change.headline) expected.delete(o);
      else expected.add(o);
    }
  }
  if (topic === "options" || topic === "state") expected.clear(); // another option may lead now
  const known = topic !== "change" && expected.delete(topic);
  const topics: readonly Topic[] = change?.headline ? ["change", ...outcomes] : [topic];
  for (const [path, e] of entries) {
    if (topic !== "state" && !topics.some((t) => e.topics.includes(t))) continue;
    if (brought.has(path)) continue;
    if (known && e.topics.includes("change")) continue;
    e.fresh = false;
    if (topic === "change" && outcomes.some((o) => e.topics.includes(o))) {
      if (e.users > 0) awaited.add(e);
      askNow(path, e);
    } else due.set(path, e);
  }
  askSoon();
});

// What could not be asked for while the server was away is asked for when it is there again.
effect(() => {
  if (link.value !== "open") return;
  for (const [path, e] of entries) if (!e.fresh) askNow(path, e);
});

/**
 * The answer to GET path, kept fresh: it is asked for again at each of the
 * topics and after a new start of the server. A null path asks nothing.
 */
export function useResource<T>(path: string | null, topics: readonly Topic[] = ["change"]): Resource<T> {
  useEffect(() => {
    if (path === null) return;
    const e = entryFor(path, topics);
    e.users++;
    if (!e.fresh) void ask(path, e);
    return () => {
      e.users--;
    };
  }, [path]);
  if (path === null) return { data: null, fault: null, busy: false, reload: () => undefined };
  const e = entryFor(path, topics);
  return {
    data: e.data.value as T | null,
    fault: e.fault.value,
    busy: e.busy.value,
    reload: () => void ask(path, e),
  };
}

/** useLast keeps the last answer while a finer one is on its way, so that the sheet stays. */
export function useLast<T>(r: Resource<T>): Resource<T> {
  const last = useRef<T | null>(null);
  useEffect(() => {
    if (r.data !== null) last.current = r.data;
  }, [r.data]);
  return r.data === null && !r.fault && last.current !== null ? { ...r, data: last.current } : r;
}
