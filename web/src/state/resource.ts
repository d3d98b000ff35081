// What a page asks of the server, asked again when an event says that it is old.

import { type Signal, signal } from "@preact/signals";
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
}

const entries = new Map<string, Entry>();
/** Answers that nobody shows are forgotten beyond this many. */
const keptMost = 40;

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
    };
    entries.set(path, e);
  }
  return e;
}

async function ask(path: string, e: Entry) {
  e.asked?.abort();
  const mine = new AbortController();
  e.asked = mine;
  e.fresh = true;
  e.busy.value = true;
  try {
    const data = await get<unknown>(path, mine.signal);
    if (e.asked !== mine) return;
    e.data.value = data;
    e.fault.value = null;
  } catch (error) {
    if (e.asked !== mine || aborted(error)) return;
    e.fresh = false;
    e.fault.value = faultOf(error);
  }
  e.asked = null;
  e.busy.value = false;
}

listen((topic) => {
  for (const [path, e] of entries) {
    if (topic !== "state" && !e.topics.includes(topic)) continue;
    e.fresh = false;
    if (e.users > 0) void ask(path, e);
  }
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
