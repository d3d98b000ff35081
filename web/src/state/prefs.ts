// What this browser prefers: kept here, never in the project.

import { effect, signal } from "@preact/signals";

export type System = "si" | "us";
export type Theme = "system" | "light" | "dark";

function stored<T extends string>(key: string, accepted: readonly T[], other: T): T {
  try {
    const value = localStorage.getItem(key);
    return accepted.find((a) => a === value) ?? other;
  } catch {
    return other; // Storage may be forbidden; then the choice lasts as long as the page.
  }
}

function store(key: string, value: string) {
  try {
    localStorage.setItem(key, value);
  } catch {
    // As above.
  }
}

export const units = signal<System>(stored("packyard.units", ["si", "us"], "si"));
export const theme = signal<Theme>(stored("packyard.theme", ["system", "light", "dark"], "system"));

/** The theme that is shown, with "system" resolved. */
export const dark = signal(false);

/** Puts the preferences to work; called once at the start. */
export function followPrefs() {
  const system = window.matchMedia("(prefers-color-scheme: dark)");
  const apply = () => {
    dark.value = theme.value === "dark" || (theme.value === "system" && system.matches);
    document.documentElement.dataset.theme = dark.value ? "dark" : "light";
  };
  system.addEventListener("change", apply);
  effect(() => {
    store("packyard.theme", theme.value);
    apply();
  });
  effect(() => store("packyard.units", units.value));
}
