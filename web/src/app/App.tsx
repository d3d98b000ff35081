import { useEffect } from "preact/hooks";
import { Busy, FaultNote } from "../parts/states";
import { WorkingSheet } from "../parts/WorkingSheet";
import { navigate, route } from "../state/route";
import { known, link, present, redo, reload, undo, unreachable } from "../state/store";
import { BudgetBar } from "./BudgetBar";
import { ConflictDialog } from "./Conflict";
import { Nav } from "./Nav";
import { Banners } from "./Problems";
import { PageHere } from "./pages";
import { TitleStrip } from "./TitleStrip";
import { TopBar } from "./TopBar";

/** Follows links of this origin without loading the page anew. */
function followLinks(e: MouseEvent) {
  if (e.defaultPrevented || e.button !== 0 || e.metaKey || e.ctrlKey || e.shiftKey || e.altKey) return;
  const a = e.target instanceof Element ? e.target.closest("a") : null;
  if (!a || a.hasAttribute("download") || a.target !== "" || a.origin !== location.origin) return;
  if (a.pathname.startsWith("/api/") || a.getAttribute("href")?.startsWith("#")) return;
  e.preventDefault();
  navigate(a.pathname + a.search);
}

/** Undo and redo by key, unless a text is being edited, which has its own. */
function followKeys(e: KeyboardEvent) {
  if (!(e.ctrlKey || e.metaKey) || e.altKey) return;
  const target = e.target;
  if (target instanceof HTMLElement && target.matches("input, textarea, select")) return;
  const key = e.key.toLowerCase();
  if (key === "z" && !e.shiftKey) void undo();
  else if (key === "y" || (key === "z" && e.shiftKey)) void redo();
  else return;
  e.preventDefault();
}

function useWindow() {
  useEffect(() => {
    document.addEventListener("click", followLinks);
    document.addEventListener("keydown", followKeys);
    return () => {
      document.removeEventListener("click", followLinks);
      document.removeEventListener("keydown", followKeys);
    };
  }, []);
}

/** The page at the address; without a project, the form that makes one. */
function pageOf(): string {
  if (!present.value) return "new";
  return route.value.page;
}

export function App() {
  useWindow();
  // Of the state only what the frame depends on: it changes with every edit and with the progress of a search.
  const there = present.value;
  const page = known.value ? pageOf() : "";
  useEffect(() => {
    if (there && (page === "" || page === "new")) navigate("/options", true);
  }, [there, page]);

  if (!known.value) {
    return (
      <main class="alone">
        {unreachable.value && link.value !== "opening" ? (
          <FaultNote fault={unreachable.value} again={() => void reload()} />
        ) : (
          <Busy what="opening the project" />
        )}
      </main>
    );
  }
  return (
    <div class={there ? "frame" : "frame frame-new"}>
      <a class="skip" href="#main">
        To the page
      </a>
      <header class="head">
        <TopBar />
        {there ? <BudgetBar /> : null}
      </header>
      {there ? <Nav /> : null}
      <main id="main" class="main" tabIndex={-1}>
        <Banners />
        {page === "" ? <Busy what="opening" /> : <PageHere path={page} />}
      </main>
      {there ? <TitleStrip page={page} /> : null}
      <WorkingSheet />
      <ConflictDialog />
    </div>
  );
}
