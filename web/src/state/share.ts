// Keeps what did not change the same object, so that what is made from it need
// not be made again.

/** newer, with every part that equals that of older taken from older. */
export function share<T>(older: unknown, newer: T): T {
  if (Object.is(older, newer)) return newer;
  if (typeof older !== "object" || typeof newer !== "object" || older === null || newer === null)
    return newer;
  if (Array.isArray(older) !== Array.isArray(newer)) return newer;
  const was = older as Record<string, unknown>;
  const now = newer as Record<string, unknown>;
  const keys = Object.keys(now);
  let same = Object.keys(was).length === keys.length;
  for (const k of keys) {
    const kept = share(was[k], now[k]);
    if (kept !== was[k] || !(k in was)) same = false;
    now[k] = kept;
  }
  return same ? (older as T) : newer;
}
