// The only door to the server, events.ts apart.

import type { ApiError, ErrorKind } from "./types";

/** What went wrong with a request, in the server's words. */
export class Fault extends Error {
  readonly kind: ErrorKind | "unreachable";
  readonly hint: string | undefined;
  readonly detail: ApiError | undefined;

  constructor(kind: ErrorKind | "unreachable", message: string, hint?: string, detail?: ApiError) {
    super(message);
    this.name = "Fault";
    this.kind = kind;
    this.hint = hint;
    this.detail = detail;
  }
}

/** True for a request that the page itself gave up. */
export function aborted(e: unknown): boolean {
  return e instanceof DOMException && e.name === "AbortError";
}

/** Makes a Fault of whatever was thrown. */
export function faultOf(e: unknown): Fault {
  if (e instanceof Fault) return e;
  return new Fault("failed", e instanceof Error ? e.message : String(e));
}

const stopped = "packyard does not answer; if it was stopped, start it again and open the address it prints";

async function faultFrom(reply: Response): Promise<Fault> {
  try {
    const body = (await reply.json()) as { error?: ApiError };
    if (body.error) return new Fault(body.error.kind, body.error.message, body.error.hint, body.error);
  } catch {
    // Not JSON: the page of an older start, or a proxy. The status says enough.
  }
  if (reply.status === 401)
    return new Fault("key", "packyard was started anew", "open the address it prints");
  return new Fault("failed", `the server answered ${reply.status} ${reply.statusText}`);
}

async function request(path: string, init: RequestInit): Promise<Response> {
  let reply: Response;
  try {
    reply = await fetch(path, { credentials: "same-origin", ...init });
  } catch (e) {
    if (aborted(e)) throw e;
    throw new Fault("unreachable", stopped);
  }
  if (!reply.ok) throw await faultFrom(reply);
  return reply;
}

async function body<T>(reply: Response): Promise<T> {
  const text = await reply.text();
  return (text === "" ? undefined : JSON.parse(text)) as T;
}

/** The signal of an abort controller, if any. */
function withSignal(init: RequestInit, signal?: AbortSignal): RequestInit {
  return signal ? { ...init, signal } : init;
}

export async function get<T>(path: string, signal?: AbortSignal): Promise<T> {
  return body<T>(await request(path, withSignal({}, signal)));
}

/** The text of a reply that is no JSON: a drawing, a table. */
export async function getText(path: string, signal?: AbortSignal): Promise<string> {
  return (await request(path, withSignal({}, signal))).text();
}

export async function post<T>(path: string, value: unknown, signal?: AbortSignal): Promise<T> {
  const init = {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(value),
  };
  return body<T>(await request(path, withSignal(init, signal)));
}

/** Sends a file as it is. */
export async function put<T>(path: string, file: Blob | string): Promise<T> {
  return body<T>(await request(path, { method: "PUT", body: file }));
}

export async function remove(path: string): Promise<void> {
  await request(path, { method: "DELETE" });
}

/** An address with the parameters that are not empty. */
export function address(path: string, query: Record<string, string | number | undefined>): string {
  const q = new URLSearchParams();
  for (const [key, value] of Object.entries(query)) {
    if (value !== undefined && value !== "") q.set(key, String(value));
  }
  const text = q.toString();
  return text === "" ? path : `${path}?${text}`;
}
