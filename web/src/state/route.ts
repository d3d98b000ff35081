// Where the page is: path and query, by the history of the browser.

import { signal } from "@preact/signals";

export interface Route {
  page: string; // first word of the path, "" for the root
  query: URLSearchParams;
}

function here(): Route {
  const page = location.pathname.split("/").filter(Boolean)[0] ?? "";
  return { page, query: new URLSearchParams(location.search) };
}

export const route = signal<Route>(here());
window.addEventListener("popstate", () => {
  route.value = here();
});

/** Goes to a path of this page, "/options?by=price". */
export function navigate(path: string, replace = false) {
  if (replace) history.replaceState(null, "", path);
  else history.pushState(null, "", path);
  const before = route.value.page;
  route.value = here();
  if (route.value.page !== before) window.scrollTo(0, 0);
}

/** Sets one parameter of the query without a new entry in the history. */
export function setQuery(key: string, value: string | null) {
  const q = new URLSearchParams(location.search);
  if (value === null || value === "") q.delete(key);
  else q.set(key, value);
  const text = q.toString();
  navigate(location.pathname + (text === "" ? "" : `?${text}`), true);
}
