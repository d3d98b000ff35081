// The strip at the foot of every sheet, as a drawing has one.

import { state } from "../state/store";
import { count } from "../units/show";
import { pageAt } from "./pages";

export function TitleStrip({ page }: { page: string }) {
  const s = state.value;
  if (!s) return null;
  const h = s.headline;
  return (
    <footer class="strip">
      <dl>
        <div>
          <dt>Project</dt>
          <dd>{s.project}</dd>
        </div>
        <div>
          <dt>Sheet</dt>
          <dd>{pageAt(page)?.name ?? page}</dd>
        </div>
        <div class="strip-wide">
          <dt>{h?.chosen ? "Chosen option" : "Leading option"}</dt>
          <dd>{h?.option ?? "none"}</dd>
        </div>
        <div>
          <dt>Options that fit</dt>
          <dd>
            {s.search.revision > 0
              ? `${count(s.search.options_that_fit)} of ${count(s.search.candidates)}`
              : "not searched yet"}
          </dd>
        </div>
        <div>
          <dt>Assumed values</dt>
          <dd>
            <a href="/assumptions">{count(s.assumptions)}</a>
          </dd>
        </div>
        <div>
          <dt>The file</dt>
          <dd>
            <a href="/values">all values</a>
          </dd>
        </div>
      </dl>
      <p class="strip-caution">
        High voltage, stored energy and fire can kill. Estimates for qualified people; local codes, inspection
        and licensed practice decide.{s.invented_data ? " Invented demonstration data." : ""}
      </p>
    </footer>
  );
}
