import { address } from "../api/client";
import type { Assessment, AssessmentReply } from "../api/types";
import { CsvLink } from "../parts/Download";
import { Explained } from "../parts/Explained";
import { Sheet } from "../parts/Sheet";
import { Empty, Loaded } from "../parts/states";
import { useResource } from "../state/resource";
import * as show from "../units/show";
import { OptionsChoose } from "./OptionsChoose";
import { OptionsFindings } from "./OptionsFindings";
import { BayLines, ModuleLines, PackFacts, RunLines, StateLines, WindowLines } from "./OptionsParts";

/** OptionsAssessment is everything that was found about one option. */
export function OptionsAssessment({ option, chosen }: { option: string; chosen: string }) {
  const reply = useResource<AssessmentReply>(address("/api/assessment", { option }), ["change", "assessed"]);
  const query = address("", { option });
  return (
    <Sheet
      title="Assessment"
      note={option}
      wide
      tools={
        <>
          <CsvLink table="findings" query={query} label="findings as CSV" />
          <CsvLink table="states" query={query} label="states as CSV" />
          <CsvLink table="bays" query={query} label="bays as CSV" />
          <CsvLink table="places" query={query} label="places as CSV" />
          <CsvLink table="workings" query={query} label="workings as CSV" />
        </>
      }
    >
      <Loaded of={reply} what="assessing the option">
        {({ assessment }) =>
          assessment ? (
            <Body a={assessment} chosen={chosen} />
          ) : (
            <Empty title="this option is not there any more" />
          )
        }
      </Loaded>
    </Sheet>
  );
}

function Body({ a, chosen }: { a: Assessment; chosen: string }) {
  return (
    <>
      <div class="assessment-head">
        <p class={a.verdict === "fits" ? "verdict-words" : "verdict-words is-beyond"}>{a.verdict}</p>
        <OptionsChoose option={a.option} chosen={chosen} />
        <a href={address("/drive", { option: a.option })}>Drive it</a>
        <a href={address("/bays", { option: a.option })}>See it in the bays</a>
      </div>
      <div class="caution" role="note">
        {a.cautions.map((c) => (
          <p key={c}>{c}</p>
        ))}
      </div>
      <div class="assessment">
        <section aria-label="What the pack is">
          <h3>Pack</h3>
          <PackFacts a={a} />
        </section>
        <section aria-label="Budgets">
          <h3>Budgets</h3>
          <BudgetLines a={a} />
        </section>
        <section aria-label="Voltage window">
          <h3>Window</h3>
          <WindowLines a={a} />
        </section>
        <section aria-label="Range runs">
          <h3>Range runs</h3>
          <RunLines a={a} />
        </section>
        <section aria-label="Findings" class="whole">
          <h3>Findings</h3>
          <OptionsFindings list={a.findings} />
        </section>
        <section aria-label="Modules">
          <h3>Modules</h3>
          <ModuleLines a={a} />
        </section>
        <section aria-label="Bays">
          <h3>Bays</h3>
          <BayLines a={a} />
        </section>
        <section aria-label="Vehicle states" class="whole">
          <h3>Vehicle</h3>
          <StateLines a={a} />
        </section>
        <section aria-label="Steadiness">
          <h3>Steadiness</h3>
          <dl class="facts">
            {a.stability.map((i) => (
              <Fact key={i.name} name={i.name}>
                <Explained of={{ kind: "input", input: i }}>{show.figure(i.value)}</Explained>
              </Fact>
            ))}
          </dl>
        </section>
        <section aria-label="Workings">
          <h3>Workings</h3>
          <ul class="workings">
            {a.workings.map((w) => (
              <li key={w.name}>
                <Explained of={{ kind: "working", name: w.name, option: a.option }}>
                  {w.name} = {show.figure(w.result)}
                </Explained>
              </li>
            ))}
          </ul>
        </section>
      </div>
    </>
  );
}

function Fact({ name, children }: { name: string; children: preact.ComponentChildren }) {
  return (
    <>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </>
  );
}

const working: Record<string, string> = {
  mass: "mass.pack",
  space: "space.used",
  voltage: "voltage.full",
  money: "money.pack",
};

function BudgetLines({ a }: { a: Assessment }) {
  return (
    <table class="table">
      <caption class="only-read">The four budgets of this option</caption>
      <thead>
        <tr>
          <th scope="col">Budget</th>
          <th scope="col" class="figure">
            Used
          </th>
          <th scope="col" class="figure">
            Limit
          </th>
          <th scope="col" class="figure">
            Left
          </th>
        </tr>
      </thead>
      <tbody>
        {a.budgets.map((b) => {
          const [used, limit] = show.apart(b.used, b.limit);
          const name = working[b.name];
          const known = name && a.workings.some((w) => w.name === name);
          return (
            <tr key={b.name} class={b.limit.si !== 0 && b.left.si < 0 ? "is-beyond" : undefined}>
              <th scope="row">{b.name}</th>
              <td class="figure">
                {known ? (
                  <Explained of={{ kind: "working", name, option: a.option }}>{used}</Explained>
                ) : (
                  used
                )}
              </td>
              <td class="figure">{b.limit.si === 0 ? "none stated" : limit}</td>
              <td class="figure">{b.limit.si === 0 ? "" : show.figure(b.left)}</td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}
