// How much of the machine other programs take: a clock on the wall says something
// about this one only where they take little.
import { readdir, readFile } from "node:fs/promises";

/** Share of the processors that others may take while times are judged. */
export const OTHERS_MOST = 0.1;

const fields = async (pid) => {
  const text = await readFile(`/proc/${pid}/stat`, "utf8").catch(() => "");
  const rest = text.slice(text.lastIndexOf(")") + 2).split(" "); // the name may hold blanks
  return { pid, parent: Number(rest[1]), ticks: rest.slice(11, 15).reduce((a, b) => a + Number(b), 0) };
};

/** Processor time of this program, its browser and its servers, in hundredths of a second. */
async function own() {
  const pids = (await readdir("/proc")).filter((n) => /^\d+$/.test(n)).map(Number);
  const all = await Promise.all(pids.map(fields));
  const mine = new Set([process.pid]);
  for (let before = 0; before < mine.size; ) {
    before = mine.size;
    for (const p of all) if (mine.has(p.parent)) mine.add(p.pid);
  }
  return all.filter((p) => mine.has(p.pid)).reduce((sum, p) => sum + (p.ticks || 0), 0);
}

/** Time that all processors spent busy and in all, in hundredths of a second. */
async function whole() {
  const line = (await readFile("/proc/stat", "utf8")).split("\n", 1)[0];
  const n = line.trim().split(/\s+/).slice(1, 9).map(Number);
  const all = n.reduce((a, b) => a + b, 0);
  return { busy: all - n[3] - n[4], all }; // but idle, and waiting for a disk
}

/** Returns a function that says which share others took since; null where the system does not tell. */
export async function othersSince() {
  const read = async () => ({ ...(await whole()), own: await own() });
  const was = await read().catch(() => null);
  return async () => {
    const now = await read().catch(() => null);
    if (!was || !now || now.all === was.all) return null;
    return Math.max(0, now.busy - was.busy - (now.own - was.own)) / (now.all - was.all);
  };
}
