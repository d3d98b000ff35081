// The pages by their address; each is loaded when it is first opened.

import { signal } from "@preact/signals";
import type { ComponentType } from "preact";
import { useEffect } from "preact/hooks";
import { Fault } from "../api/client";
import { Busy, Empty, FaultNote } from "../parts/states";

export interface PageEntry {
  path: string;
  name: string;
  /** Not there yet. */
  later?: boolean;
  load: () => Promise<{ default: ComponentType }>;
}

const later = (name: "Monitor" | "Bench") => async () => {
  const m = await import("../pages/Later");
  return { default: m[name] };
};

export const pages: readonly PageEntry[] = [
  { path: "donor", name: "Donor", load: () => import("../pages/Donor") },
  { path: "bays", name: "Bays", load: () => import("../pages/Bays") },
  { path: "sources", name: "Sources", load: () => import("../pages/Sources") },
  { path: "options", name: "Options", load: () => import("../pages/Options") },
  { path: "drive", name: "Drive", load: () => import("../pages/Drive") },
  { path: "heat", name: "Heat", load: () => import("../pages/Heat") },
  { path: "charge", name: "Charge", load: () => import("../pages/Charge") },
  { path: "circuit", name: "Circuit", load: () => import("../pages/Circuit") },
  { path: "monitor", name: "Monitor", later: true, load: later("Monitor") },
  { path: "bench", name: "Bench", later: true, load: later("Bench") },
  { path: "book", name: "Book", load: () => import("../pages/Book") },
];

/** Pages that stand in no list: reached by a link. */
const others: readonly PageEntry[] = [
  { path: "new", name: "New project", load: () => import("./NewProject") },
  { path: "values", name: "All values", load: () => import("./Values") },
  { path: "assumptions", name: "Assumptions", load: () => import("./Assumptions") },
];

export function pageAt(path: string): PageEntry | undefined {
  return pages.find((p) => p.path === path) ?? others.find((p) => p.path === path);
}

const loaded = signal<Record<string, ComponentType>>({});
const faults = signal<Record<string, Fault>>({});

async function fetchPage(entry: PageEntry) {
  try {
    const m = await entry.load();
    loaded.value = { ...loaded.value, [entry.path]: m.default };
  } catch {
    const fault = new Fault(
      "unreachable",
      `the page ${entry.name} could not be loaded`,
      "is packyard still running?",
    );
    faults.value = { ...faults.value, [entry.path]: fault };
  }
}

export function PageHere({ path }: { path: string }) {
  const entry = pageAt(path);
  const Shown = loaded.value[path];
  useEffect(() => {
    if (entry && !loaded.peek()[path]) void fetchPage(entry);
    document.title = entry ? `${entry.name} · packyard` : "packyard";
  }, [path]);
  if (!entry) {
    return (
      <Empty title={`there is no page ${path}`}>
        <p>
          Go on to the <a href="/options">options</a>.
        </p>
      </Empty>
    );
  }
  if (Shown) return <Shown key={path} />;
  const fault = faults.value[path];
  if (fault) return <FaultNote fault={fault} again={() => void fetchPage(entry)} />;
  return <Busy what={`opening ${entry.name}`} />;
}
