// Runs the browser tests: node test/run.mjs [WORD …]. A word picks the tests whose
// name holds it. Builds nothing: the program must hold the built front end
// (PACKYARD, by default bin/packyard). Prints "N passed, N failed".
import { existsSync } from "node:fs";
import { readdir } from "node:fs/promises";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { browserAt, launch, World } from "./harness.mjs";

const here = dirname(fileURLToPath(import.meta.url));
const words = process.argv.slice(2);
const TEST_MS = 150_000;

if (!existsSync(browserAt)) {
  console.error(`packyard: tests: ${browserAt} was not found, so the pages are not tested in a browser`);
  process.exit(process.env.CI === "true" ? 1 : 0);
}

const tests = [];
for (const name of (await readdir(here)).filter((n) => n.endsWith(".browser.mjs")).sort()) {
  const { default: list } = await import(pathToFileURL(join(here, name)).href);
  for (const [title, run] of Object.entries(list)) {
    const full = `${name.replace(".browser.mjs", "")}: ${title}`;
    if (words.length === 0 || words.some((w) => full.includes(w))) tests.push({ full, run });
  }
}

const bounded = (work) => {
  let late;
  const limit = new Promise((_, fail) => {
    late = setTimeout(() => fail(new Error(`not done after ${TEST_MS} ms`)), TEST_MS);
  });
  return Promise.race([work, limit]).finally(() => clearTimeout(late));
};

/** Runs one test in a browser context of its own; tells what went wrong, nothing if all is well. */
const attempt = async (browser, run, notes) => {
  const world = new World(browser);
  let fault = null;
  try {
    await bounded(run(world, (note) => notes.push(note)));
  } catch (e) {
    fault = e;
  }
  const seen = await world.close();
  return [...(fault ? [String(fault.stack ?? fault)] : []), ...seen];
};

const browser = await launch();
const start = Date.now();
let failed = 0;
let again = 0;
for (const { full, run } of tests) {
  const began = Date.now();
  let notes = [];
  let wrong = await attempt(browser, run, notes);
  if (wrong.length > 0) {
    // Once more: three programs share the processors, and a page may be late. What went
    // wrong first is printed all the same, and counted.
    notes = ["at the first try:", ...wrong, "at the second:"];
    wrong = await attempt(browser, run, notes);
    if (wrong.length === 0) again++;
  }
  if (wrong.length > 0) failed++;
  const ms = Date.now() - began;
  console.log(`${wrong.length > 0 ? "FAIL" : "ok  "} ${full} (${(ms / 1000).toFixed(1)} s)`);
  for (const n of [...notes, ...wrong]) console.log(`       ${n.replaceAll("\n", "\n       ")}`);
}
await browser.close();
console.log(
  `${tests.length - failed} passed${again ? ` (${again} at the second try)` : ""}, ${failed} failed in ${((Date.now() - start) / 1000).toFixed(0)} s`,
);
process.exitCode = failed > 0 || tests.length === 0 ? 1 : 0;
