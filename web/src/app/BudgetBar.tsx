// The four budgets, the range and the verdict, on top of every page.

import type { Budget, Headline } from "../api/types";
import { Explained } from "../parts/Explained";
import { headline, search } from "../state/store";
import * as show from "../units/show";

/** The working behind the used side of each budget. */
const workingOf: Record<Budget["name"], string> = {
  mass: "mass.pack",
  space: "space.used",
  voltage: "voltage.full",
  money: "money.pack",
};

/** A plain bar; what is beyond the limit is drawn in the colour of what does not hold. */
function Bar({ budget }: { budget: Budget }) {
  const { used, limit } = budget;
  const whole = Math.max(used.si, limit.si, Number.MIN_VALUE);
  const at = (limit.si / whole) * 100;
  const inside = (Math.min(used.si, limit.si) / whole) * 100;
  return (
    <svg class="bar" viewBox="0 0 100 6" preserveAspectRatio="none" aria-hidden="true">
      <rect class="bar-limit" x="0" y="0" width={at} height="6" />
      <rect class="bar-used" x="0" y="0" width={inside} height="6" />
      {used.si > limit.si ? <rect class="bar-beyond" x={at} y="0" width={100 - at} height="6" /> : null}
    </svg>
  );
}

function BudgetCell({ budget, option }: { budget: Budget; option: string }) {
  const stated = budget.limit.si !== 0;
  const beyond = stated && budget.left.si < 0;
  const [used, limit] = show.apart(budget.used, budget.limit);
  const left = show.figure({ ...budget.left, si: Math.abs(budget.left.si) });
  return (
    <div class={beyond ? "budget is-beyond" : "budget"}>
      <dt>{budget.name}</dt>
      <dd>
        <Explained of={{ kind: "working", name: workingOf[budget.name], option }}>{used}</Explained>
        <span class="budget-limit">{stated ? `of ${limit}` : "no limit stated"}</span>
        {stated ? <Bar budget={budget} /> : <span class="bar" />}
        <span class="budget-left">{stated ? (beyond ? `${left} too much` : `${left} left`) : "\u00a0"}</span>
      </dd>
    </div>
  );
}

function verdict(h: Headline): string {
  if (h.verdict === "fits") return h.warnings > 0 ? `fits, ${h.warnings} warnings` : "fits";
  return h.failures === 1 ? "does not fit: 1 limit broken" : `does not fit: ${h.failures} limits broken`;
}

function RangeCell({ headline: h }: { headline: Headline }) {
  return (
    <div class={h.verdict === "fits" ? "budget budget-range" : "budget budget-range is-beyond"}>
      <dt>
        range <span class="budget-limit">{h.schedule}</span>
      </dt>
      <dd>
        <Explained of={{ kind: "working", name: "range", option: h.option }}>
          {show.distance(h.range_m)}
        </Explained>
        <span class="budget-limit">{`${show.distance(h.range_end_of_life_m)} at end of life`}</span>
        <a class="verdict" href="/options">
          {verdict(h)}
        </a>
      </dd>
    </div>
  );
}

function Progress() {
  const s = search.value;
  if (!s?.running) return null;
  return (
    <progress
      class="search-progress"
      value={s.done}
      max={Math.max(s.total, 1)}
      aria-label="search of the options"
    />
  );
}

export function BudgetBar() {
  const h = headline.value;
  return (
    <section class="budgets" aria-label="Budgets and range">
      <Progress />
      {h ? (
        <dl>
          {h.budgets.map((b) => (
            <BudgetCell key={b.name} budget={b} option={h.option} />
          ))}
          <RangeCell headline={h} />
        </dl>
      ) : (
        <p class="budgets-none">No option to show budgets of yet.</p>
      )}
    </section>
  );
}
