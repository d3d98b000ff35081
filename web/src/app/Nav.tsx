import { route } from "../state/route";
import { pages } from "./pages";

/** The list of sheets, numbered as in a set of drawings. */
export function Nav() {
  const here = route.value.page;
  return (
    <nav class="nav" aria-label="Pages">
      <ol>
        {pages.map((p, i) => (
          <li key={p.path} class={p.later ? "is-later" : undefined}>
            <a href={`/${p.path}`} aria-current={p.path === here ? "page" : undefined}>
              <span class="nav-number" aria-hidden="true">
                {i + 1}
              </span>
              {p.name}
              {p.later ? <span class="only-read"> (not there yet)</span> : null}
            </a>
          </li>
        ))}
      </ol>
    </nav>
  );
}
