// The event stream: what other pages, the search and the file on disk did.

import type { Events } from "./types";

export type { Events };

export type Topic = keyof Events;

const topics: Topic[] = [
  "change",
  "headline",
  "assessed",
  "progress",
  "options",
  "broken",
  "mended",
  "failed",
  "state",
  "bye",
];

/** open: events come; lost: trying again; refused: the key is not that of the running server. */
export type Link = "opening" | "open" | "lost" | "refused";

export interface Listener {
  onEvent<T extends Topic>(topic: T, data: Events[T]): void;
  onLink(link: Link): void;
}

const retryMs = 1000;

/**
 * Follows the events until the returned function is called. The browser itself
 * connects again after a break and asks for what it missed; only when the
 * server refuses does it give up, and then this asks why and goes on trying.
 */
export function follow(client: string, listener: Listener): () => void {
  let stream: EventSource | null = null;
  let timer: ReturnType<typeof setTimeout> | undefined;
  let ended = false;

  const again = async () => {
    if (ended) return;
    let refused = false;
    try {
      const reply = await fetch("/api/state", { credentials: "same-origin" });
      refused = reply.status === 401;
    } catch {
      // Not running: lost, until it runs again.
    }
    if (ended) return;
    listener.onLink(refused ? "refused" : "lost");
    timer = setTimeout(open, retryMs);
  };

  const open = () => {
    if (ended) return;
    stream = new EventSource(`/api/events?client=${encodeURIComponent(client)}`);
    stream.onopen = () => listener.onLink("open");
    stream.onerror = () => {
      if (stream?.readyState === EventSource.CLOSED) void again();
      else listener.onLink("lost");
    };
    for (const topic of topics) {
      stream.addEventListener(topic, (e) => {
        listener.onEvent(topic, JSON.parse((e as MessageEvent<string>).data) as Events[typeof topic]);
      });
    }
  };

  listener.onLink("opening");
  open();
  return () => {
    ended = true;
    clearTimeout(timer);
    stream?.close();
  };
}
