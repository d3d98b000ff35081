// How long things take to be seen. The limits hold for a machine that has nothing else
// to do: where other programs take a part of it, the times are printed and not judged.
// Single tries may be late for reasons of their own, so the median of a round counts, and
// of up to five rounds the best. The goals are those of a builder who waits; a goal that is
// missed by less than half is printed as missed, since the clock of a machine that shares
// its processors swings by as much, and beyond that the test fails.
import assert from "node:assert/strict";
import { readdir, readFile } from "node:fs/promises";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { settled } from "./harness.mjs";
import { OTHERS_MOST, othersSince } from "./machine.mjs";

const EDIT_MS = 100;
const OPTIONS_MS = 2000;
const FIRST_MS = 1000;
const SWING = 1.5;
const ROUNDS = 5;
const EDITS = 9;
const WARM_UP = 2;
const FIRST_KB = 120;
const CHUNKS_KB = 300;

const rising = (ms) => [...ms].sort((a, b) => a - b);
const list = (ms) =>
  rising(ms)
    .map((x) => x.toFixed(0))
    .join(", ");
const median = (ms) => rising(ms)[Math.floor(ms.length / 2)];

/**
 * Measures until every median keeps its limit, at most ROUNDS times, and holds the best
 * of them to it. round returns times by what they are of; limits has the limit of each.
 * A round in which other programs took part is not judged, and none follows it.
 */
async function judge(note, limits, round) {
  const best = {};
  for (let i = 0; i < ROUNDS; i++) {
    const others = await othersSince();
    const times = await round(i, async () => (await others()) > OTHERS_MOST);
    const share = await others();
    for (const [what, ms] of Object.entries(times)) note(`${what}: ${list(ms)} ms (goal ${limits[what]})`);
    const words = share === null ? "an unknown part" : `${(100 * share).toFixed(0)} %`;
    const judged = share !== null && share <= OTHERS_MOST;
    note(`other programs took ${words} of the machine${judged ? "" : ": not judged"}`);
    if (!judged) return;
    for (const what of Object.keys(limits))
      best[what] = Math.min(best[what] ?? Infinity, median(times[what]));
    if (Object.entries(limits).every(([what, most]) => best[what] <= most)) return;
  }
  for (const [what, most] of Object.entries(limits)) {
    if (best[what] > most) note(`GOAL MISSED: ${what}: ${best[what].toFixed(0)} ms, wanted ${most} ms`);
    assert.ok(
      best[what] <= SWING * most,
      `${what}: the best median of ${ROUNDS} rounds, ${best[what].toFixed(0)} ms, is above ${SWING} times ${most} ms`,
    );
  }
}

/** Notes in the page when what is at the selector next changes and is about to be painted. */
const watch = (page, selector) =>
  page.evaluate((s) => {
    window.watcher?.disconnect();
    const was = document.querySelector(s).textContent;
    window.seen = new Promise((done) => {
      window.watcher = new MutationObserver(() => {
        if (document.querySelector(s)?.textContent === was) return;
        window.watcher.disconnect();
        requestAnimationFrame(() => done(performance.timeOrigin + performance.now()));
      });
    });
    window.watcher.observe(document.querySelector("#app"), {
      subtree: true,
      childList: true,
      characterData: true,
    });
  }, selector);

/** When it was; waits without asking, so that the page is left in peace. */
const seen = (page) => page.evaluate(() => window.seen);

export default {
  "an edit is seen in all open pages, and the options follow": async (w, note) => {
    await w.project("orchard-truck");
    const donor = await w.page("/donor");
    const other = await w.page("/donor");
    const options = await w.page("/options");
    await settled(donor);
    const field = donor.getByLabel("mass of inverter", { exact: true });
    await field.waitFor();
    await other.locator("table.loads tbody").waitFor();
    await options.locator(".packs tbody tr").first().waitFor();
    await donor.evaluate(() => {
      const note = (e) => {
        if (e.key === "Enter") window.sentAt = performance.timeOrigin + performance.now();
      };
      document.addEventListener("keydown", note, true);
    });
    const bar = '[aria-label="Budgets and range"]';
    const limits = {
      "budgets in the page of the edit": EDIT_MS,
      "budgets in another page": EDIT_MS,
      "axle loads in another page": EDIT_MS,
      "ranked options": OPTIONS_MS,
    };
    let mass = 20;
    const once = async () => {
      await settled(donor);
      await new Promise((r) => setTimeout(r, 300)); // let the pages rest
      await Promise.all([watch(donor, bar), watch(options, bar), watch(other, "table.loads")]);
      await field.fill(`${mass++} kg`); // a new state each time: the server keeps the results of old ones
      await field.press("Enter");
      const seenAt = await Promise.all([seen(donor), seen(options), seen(other)]);
      const done = await settled(options, 100);
      const now = await options.evaluate(() => performance.timeOrigin + performance.now());
      const sent = await donor.evaluate(() => window.sentAt);
      return { times: [...seenAt, now].map((t) => t - sent), search: done.search.millis };
    };
    await judge(note, limits, async (round, disturbed) => {
      for (let i = 0; i < WARM_UP && round === 0; i++) await once();
      const tries = [];
      for (let i = 0; i < EDITS && !(i > 1 && (await disturbed())); i++) tries.push(await once());
      note(`the search alone: ${list(tries.map((t) => t.search))} ms`);
      return Object.fromEntries(Object.keys(limits).map((what, k) => [what, tries.map((t) => t.times[k])]));
    });
  },

  "the first page is there within a second, with little script": async (w, note) => {
    await w.project("orchard-truck", { only: "closed-nmc" });
    const page = await w.page("/options");
    await settled(page);
    const once = async () => {
      const fresh = await w.tab(page.context(), null);
      await fresh.addInitScript(() => {
        new MutationObserver((_, o) => {
          if (!document.querySelector('[aria-label="Budgets and range"] dl')) return;
          o.disconnect();
          requestAnimationFrame(() => {
            window.firstAt = performance.now();
          });
        }).observe(document, { subtree: true, childList: true });
      });
      await fresh.goto(new URL("/options", w.server.url).href);
      const at = await fresh.waitForFunction(() => window.firstAt).then((h) => h.jsonValue());
      await fresh.close();
      return at;
    };
    await judge(note, { "first page": FIRST_MS }, async () => {
      const times = [];
      for (let i = 0; i < 5; i++) times.push(await once());
      return { "first page": times };
    });

    const dist =
      process.env.PACKYARD_DIST ?? resolve(dirname(fileURLToPath(import.meta.url)), "../../server/dist");
    const html = await readFile(join(dist, "index.html"), "utf8");
    const first = [...html.matchAll(/(?:src|href)="\.?\/?(assets\/[^"]+\.js)"/g)].map((m) => m[1]);
    const size = async (name) => gzipSync(await readFile(join(dist, name)), { level: 9 }).length / 1000;
    const sum = async (names) => (await Promise.all(names.map(size))).reduce((a, b) => a + b, 0);
    const options = (await readdir(join(dist, "assets"))).filter((n) => n.endsWith(".js"));
    const withOptions = await sum([
      ...new Set([
        ...first,
        ...options.filter((n) => /^(Options|Sheet|Download|DataTable)-/.test(n)).map((n) => `assets/${n}`),
      ]),
    ]);
    const all = await sum(options.filter((n) => !/^scene-/.test(n)).map((n) => `assets/${n}`));
    note(
      `script, gzip: first page with its chunks ${withOptions.toFixed(0)} kB (limit ${FIRST_KB}), all without 3D ${all.toFixed(0)} kB (limit ${CHUNKS_KB})`,
    );
    assert.ok(withOptions <= FIRST_KB);
    assert.ok(all <= CHUNKS_KB);
  },
};
