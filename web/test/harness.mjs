// What every browser test stands on: a copy of an example in a folder of its own,
// the real program serving it, a browser that watches for what must never happen,
// and words for what a user does.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { cp, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const repo = resolve(dirname(fileURLToPath(import.meta.url)), "../..");
const program = process.env.PACKYARD ?? join(repo, "bin/packyard");
export const browserAt = process.env.CHROMIUM ?? "/usr/bin/chromium";

/** How long a page may take for anything; a busy machine is slow, not wrong. */
export const PATIENCE_MS = 20_000;

export function launch() {
  return chromium.launch({
    executablePath: browserAt,
    args: [
      "--no-sandbox",
      "--no-first-run",
      "--disable-quic",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
      "--disable-gpu", // pages are drawn in software, and WebGL too
      "--enable-unsafe-swiftshader",
    ],
  });
}

/** A project folder that is thrown away: a copy of an example, or empty. */
export async function folder(example) {
  const dir = await mkdtemp(join(tmpdir(), "packyard-test-"));
  if (example) {
    const from = join(repo, "examples", example);
    await cp(from, dir, { recursive: true, filter: (p) => !p.includes(".history") });
  }
  return dir;
}

/** Serves the folder with the real program; port 0 takes a free one. */
export async function serve(dir, port = 0) {
  const child = spawn(program, ["open", dir, "--no-browser", "--port", String(port)], {
    stdio: ["ignore", "pipe", "pipe"],
  });
  let said = "";
  const url = await new Promise((done, fail) => {
    const late = setTimeout(
      () => fail(new Error(`no address within ${PATIENCE_MS} ms; it said: ${said}`)),
      PATIENCE_MS,
    );
    const hear = (chunk) => {
      said += chunk;
      const found = said.match(/http:\/\/\S+key=\S+/);
      if (!found) return;
      clearTimeout(late);
      done(found[0]);
    };
    child.stdout.on("data", hear);
    child.stderr.on("data", hear);
    child.on("error", fail);
    child.on("exit", (code) => fail(new Error(`packyard ended with ${code}: ${said}`)));
  });
  const ended = new Promise((done) => child.on("exit", done));
  return {
    url,
    port: Number(new URL(url).port),
    async stop(signal = "SIGTERM") {
      if (child.exitCode === null) child.kill(signal);
      await ended;
    },
  };
}

/** The text of a project file with one of its lots alone. */
function withLot(text, name) {
  const [head, rest] = text.split(/^sources:\n/m);
  const [, lots, tail] = rest.match(/^((?: .*\n|\n)*)((?:.|\n)*)$/);
  const one = lots.split(/^(?= {2}- )/m).find((l) => l.includes(`name: ${name}\n`));
  assert.ok(one, `no lot ${name} in the example`);
  return `${head}sources:\n${one}${tail}`;
}

/** Messages of the browser that are part of a refused edit, which tests ask for. */
const refusal = /status of (409|422) /;

/** One test's world. Everything is closed at its end, and then the watch is read. */
export class World {
  #browser;
  #closers = [];
  #watch = [];
  #allowed = [refusal];

  constructor(browser) {
    this.#browser = browser;
  }

  /** Lets a message of the console pass, for tests that stop the server. */
  allow(pattern) {
    this.#allowed.push(pattern);
  }

  /**
   * Serves a copy of an example, or an empty folder. only keeps a single lot of
   * those that can be had, which leaves a search of a blink: most tests are not
   * about the search.
   */
  async project(example, { only } = {}) {
    this.dir = await folder(example);
    if (only) await this.write(withLot(await this.file(), only));
    this.#closers.push(() => rm(this.dir, { recursive: true, force: true }));
    this.server = await serve(this.dir);
    this.#closers.push(() => this.server.stop());
  }

  file = () => readFile(join(this.dir, "packyard.yaml"), "utf8");
  write = (text) => writeFile(join(this.dir, "packyard.yaml"), text);

  /** A page in a browser session of its own. */
  async page(path = "/", options = {}) {
    const context = await this.#browser.newContext({
      viewport: { width: 1440, height: 900 },
      reducedMotion: "reduce",
      colorScheme: "light",
      ...options,
    });
    context.setDefaultTimeout(PATIENCE_MS);
    this.#closers.push(() => context.close());
    return this.tab(context, path);
  }

  /** A further tab of a session. */
  async tab(context, path = "/") {
    const page = await context.newPage();
    this.#guard(page);
    if (path === null) return page;
    const to = new URL(this.server.url);
    if (path !== "/") to.pathname = path;
    await page.goto(to.href);
    await page.locator("main").waitFor();
    return page;
  }

  #guard(page) {
    page.on("console", (m) => {
      if (m.type() !== "error" && m.type() !== "warning") return;
      const text = m.text();
      if (/GPU stall due to ReadPixels/.test(text)) return; // the software renderer on its own behalf
      if (!this.#allowed.some((a) => a.test(text))) this.#watch.push(`console ${m.type()}: ${text}`);
    });
    page.on("pageerror", (e) => this.#watch.push(`uncaught: ${e.stack ?? e.message}`));
    page.on("request", (r) => {
      const url = new URL(r.url());
      if (url.protocol === "data:" || url.protocol === "blob:") return;
      if (url.hostname !== "127.0.0.1" || Number(url.port) !== this.server.port) {
        this.#watch.push(`request to the outside: ${r.url()}`);
      }
    });
    page.addInitScript(() => {
      document.addEventListener("securitypolicyviolation", (e) => {
        console.error(
          `policy violated: ${e.violatedDirective} by ${e.blockedURI} at ${e.sourceFile}:${e.lineNumber}`,
        );
      });
    });
  }

  async close() {
    for (const c of this.#closers.reverse())
      await c().catch((e) => this.#watch.push(`closing: ${e.message}`));
    return this.#watch;
  }
}

/** Waits until the value that ask returns satisfies good, and returns it. */
export async function until(what, ask, good = Boolean, { patience = PATIENCE_MS, every = 40 } = {}) {
  const end = Date.now() + patience;
  for (let value; ; ) {
    value = await ask();
    if (good(value)) return value;
    assert.ok(Date.now() < end, `${what}: still ${JSON.stringify(value)} after ${patience} ms`);
    await new Promise((r) => setTimeout(r, every));
  }
}

/** The server's answer to GET path, asked by the page with its cookie. */
export const ask = (page, path) =>
  page.evaluate(async (p) => {
    const reply = await fetch(p);
    if (!reply.ok) throw new Error(`${p}: ${reply.status} ${await reply.text()}`);
    return reply.json();
  }, path);

/** Waits until the search of the options has finished with the present revision. */
export async function settled(page, every = 150) {
  return until(
    "the search is finished",
    () => ask(page, "/api/state"),
    (s) => s.present && !s.search.running && s.search.revision === s.revision,
    { every },
  );
}

/** The text of the budgets on top of the page. */
export const budgets = (page) => page.getByRole("region", { name: "Budgets and range" }).textContent();

/** Goes to a page by its name in the list of sheets. */
export async function go(page, name) {
  await page.getByRole("navigation", { name: "Pages" }).getByRole("link", { name }).click();
  await page.getByRole("heading", { level: 1, name }).waitFor();
}

/** Types a text into a field of the file and ends with Enter. */
export async function type(page, label, text) {
  const field = page.getByLabel(label, { exact: true });
  await field.fill(text);
  await field.press("Enter");
  return field;
}

/** Has every sheet laid out, also those out of sight, so that all of the page can be judged. */
export const unfold = (page) =>
  page.evaluate(() => {
    for (const sheet of document.querySelectorAll(".sheet")) sheet.style.contentVisibility = "visible";
  });
