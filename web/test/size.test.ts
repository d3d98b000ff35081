// @vitest-environment node
// How much script a page loads, held against what the workbench promises. Reads
// the built pages; `make web` builds them.

import { existsSync, readFileSync } from "node:fs";
import { gzipSync } from "node:zlib";
import { describe, expect, it } from "vitest";

interface Chunk {
  file: string;
  src?: string;
  isEntry?: boolean;
  imports?: string[];
  dynamicImports?: string[];
}

const dist = new URL("../../server/dist/", import.meta.url);
const built = existsSync(new URL("chunks.json", dist));
if (!built && process.env.CI === "true") throw new Error("server/dist is not built; make web builds it");

/** Script as the browser takes it over a compressed line, in bytes. */
const gzipped = (file: string) => gzipSync(readFileSync(new URL(file, dist)), { level: 9 }).length;

const firstPageMost = 120_000;
const allMost = 300_000;

describe.skipIf(!built)("script of the built pages", () => {
  const chunks: Record<string, Chunk> = built
    ? JSON.parse(readFileSync(new URL("chunks.json", dist), "utf8"))
    : {};
  const entry = Object.keys(chunks).find((k) => chunks[k]?.isEntry) ?? "";

  /** A chunk and what it imports at once; what it may load later is left out. */
  const atOnce = (key: string, into = new Set<string>()): Set<string> => {
    if (into.has(key)) return into;
    into.add(key);
    for (const i of chunks[key]?.imports ?? []) atOnce(i, into);
    return into;
  };
  const size = (keys: Iterable<string>) =>
    [...new Set([...keys].map((k) => chunks[k]?.file ?? ""))]
      .filter((f) => f.endsWith(".js"))
      .reduce((sum, f) => sum + gzipped(f), 0);

  const pages = Object.keys(chunks).filter((k) => /^src\/pages\/[A-Z][a-z]+\.tsx$/.test(k));

  it("has the frame and a chunk for every page", () => {
    expect(entry).not.toBe("");
    for (const name of ["Donor", "Bays", "Sources", "Options", "Drive", "Later"]) {
      expect(pages).toContain(`src/pages/${name}.tsx`);
    }
  });

  it.each(pages)("stays below 120 kB for %s opened first", (page) => {
    const bytes = size(atOnce(page, atOnce(entry)));
    console.log(`${page} opened first: ${(bytes / 1000).toFixed(1)} kB of gzipped script`);
    expect(bytes).toBeGreaterThan(5_000);
    expect(bytes).toBeLessThan(firstPageMost);
  });

  it("stays below 300 kB for all chunks without 3D", () => {
    const scene = Object.keys(chunks).filter((k) => k.startsWith("src/scene/") || /three/.test(k));
    expect(scene.length, "the 3D view is a chunk of its own").toBeGreaterThan(0);
    const bytes = size(Object.keys(chunks).filter((k) => !scene.includes(k)));
    console.log(
      `all chunks without 3D: ${(bytes / 1000).toFixed(1)} kB, 3D: ${(size(scene) / 1000).toFixed(1)} kB`,
    );
    expect(bytes).toBeLessThan(allMost);
  });
});
