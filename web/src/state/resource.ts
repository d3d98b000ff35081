// What a page asks of the server, asked again when an event says that it is old.

import { batch, type Signal, signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { aborted, type Fault, faultOf, get } from "../api/client";
import type { Topic } from "../api/events";
import { listen } from "./store";

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
      e.data.value = data;
      e.fault.value = null;
      e.busy.value = false;
    });
  } catch (error) {
    clearTimeout(late);
    if (e.asked !== mine || aborted(error)) return;
    e.fresh = false;
    e.fault.value = faultOf(error);
  }
  e.asked = null;
  // What came is shown at once, even if it is old by now; the newest follows.
  if (e.again && e.users > 0) void ask(path, e);
  else e.busy.value = false;
}

/** How long after a change the headline is waited for before anything is asked. */
const headlineMs = 80;
const due = new Map<string, Entry>();
let timer: ReturnType<typeof setTimeout> | undefined;

function askDue() {
  clearTimeout(timer);
  timer = undefined;
  for (const [path, e] of due) {
    if (e.asked) e.again = true;
    else if (e.users > 0) void ask(path, e);
  }
  due.clear();
}

// A change is followed by the headline, which all pages show. If every page asked
// at the change for all that it shows, they would keep the server from it.
listen((topic) => {
  for (const [path, e] of entries) {
    if (topic !== "state" && !e.topics.includes(topic)) continue;
    e.fresh = false;
    due.set(path, e);
  }
  if (topic !== "change") {
    if (topic === "progress") return;
    clearTimeout(timer);
    timer = setTimeout(askDue, 0); // what the event says is drawn first
  } else if (timer === undefined) timer = setTimeout(askDue, headlineMs);
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
