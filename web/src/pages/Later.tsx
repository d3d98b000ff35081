// Pages that are not there yet. They say so, and what will come.

import { Page } from "../parts/Sheet";

function Later({ name, will }: { name: string; will: readonly string[] }) {
  return (
    <Page title={name} lead="This page is not there yet. Nothing on it is computed so far.">
      <section class="sheet later">
        <h2>What it will show</h2>
        <ul>
          {will.map((w) => (
            <li key={w}>{w}</li>
          ))}
        </ul>
      </section>
    </Page>
  );
}

export const Monitor = () => (
  <Later
    name="Monitor"
    will={[
      "boards and sense leads, group by group",
      "limits, balancing and the order in which the contactors close and open",
    ]}
  />
);
export const Bench = () => (
  <Later
    name="Bench"
    will={[
      "measured cells from the logs of a tester: capacity, resistance, self-discharge",
      "which cell goes where, so that the weakest group is as strong as it can be",
    ]}
  />
);
