import { useEffect } from "preact/hooks";
import { Busy, FaultNote } from "../parts/states";
import { WorkingSheet } from "../parts/WorkingSheet";
import { navigate, route } from "../state/route";
import { link, redo, reload, state, undo, unreachable } from "../state/store";
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
  if (!state.value?.present) return "new";
  return route.value.page;
}

export function App() {
  useWindow();
  const s = state.value;
  const page = s ? pageOf() : "";
  useEffect(() => {
    if (s?.present && (page === "" || page === "new")) navigate("/options", true);
  }, [s?.present, page]);

  if (!s) {
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
    <div class={s.present ? "frame" : "frame frame-new"}>
      <a class="skip" href="#main">
        To the page
      </a>
      <header class="head">
        <TopBar />
        {s.present ? <BudgetBar /> : null}
      </header>
      {s.present ? <Nav /> : null}
      <main id="main" class="main" tabIndex={-1}>
        <Banners />
        {page === "" ? <Busy what="opening" /> : <PageHere path={page} />}
      </main>
      {s.present ? <TitleStrip page={page} /> : null}
      <WorkingSheet />
      <ConflictDialog />
    </div>
  );
}
