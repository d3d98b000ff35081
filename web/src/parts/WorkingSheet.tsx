// The sheet that says how a number came about: formula, inputs, sources.

import type { ComponentChildren } from "preact";
import { address } from "../api/client";
import type { AssessmentReply, Finding, Input, Pos, References, Working } from "../api/types";
import { useResource } from "../state/resource";
import * as show from "../units/show";
import { Dialog } from "./Dialog";
import { type Explanation, explain, explained } from "./Explained";
import { Empty, Loaded } from "./states";

const place = (p?: Pos) => (p?.line ? `${p.file ?? "packyard.yaml"}:${p.line}:${p.col ?? 1}` : "");

/** Title of a source key; what is no key is shown as it is. */
export function SourceName({ of }: { of: string | undefined }) {
  const references = useResource<References>(of ? "/api/references" : null, []);
  const found = references.data?.sources.find((s) => s.key === of);
  return <>{found ? found.title : (of ?? "")}</>;
}

function InputRow({ input, workings }: { input: Input; workings: Working[] }) {
  const other = workings.find((w) => w.name === input.source);
  const at = place(input.pos);
  return (
    <tr>
      <td class="symbol">{input.symbol}</td>
      <td>{input.name}</td>
      <td class="figure">{show.figure(input.value)}</td>
      <td>
        {other ? (
          <button
            type="button"
            class="explained"
            onClick={() => explain({ kind: "working", name: other.name })}
          >
            {other.name}
          </button>
        ) : (
          <SourceName of={input.source} />
        )}
        {at === "" ? null : <span class="place">{at}</span>}
      </td>
    </tr>
  );
}

function WorkingBody({ working, workings }: { working: Working; workings: Working[] }) {
  return (
    <>
      <p class="formula">{working.formula}</p>
      <table class="table">
        <caption class="only-read">What goes into it</caption>
        <thead>
          <tr>
            <th scope="col">Symbol</th>
            <th scope="col">What it is</th>
            <th scope="col" class="figure">
              Value
            </th>
            <th scope="col">From</th>
          </tr>
        </thead>
        <tbody>
          {working.inputs.map((i) => (
            <InputRow key={`${i.symbol} ${i.name}`} input={i} workings={workings} />
          ))}
        </tbody>
        <tfoot>
          <tr>
            <td />
            <td>Result</td>
            <td class="figure">
              <strong>{show.figure(working.result)}</strong>
            </td>
            <td>
              <SourceName of={working.source} />
            </td>
          </tr>
        </tfoot>
      </table>
    </>
  );
}

function NamedWorking({ name, option }: { name: string; option?: string | undefined }) {
  const reply = useResource<AssessmentReply>(address("/api/assessment", { option }), ["assessed", "change"]);
  return (
    <Loaded of={reply} what="looking up the working">
      {({ assessment }) => {
        const working = assessment?.workings.find((w) => w.name === name);
        if (!assessment || !working)
          return <Empty title={`there is no working of ${name} for this option`} />;
        return <WorkingBody working={working} workings={assessment.workings} />;
      }}
    </Loaded>
  );
}

const holds = {
  always: "kept over the whole stated spread of the inputs",
  partly: "kept over a part of the stated spread only",
  never: "broken over the whole stated spread",
};

/** How far a value is from its limit, in words. */
export function marginWords(f: Finding): string {
  if (f.margin < 0) return `${show.percent(-f.margin)} beyond the limit`;
  return `${show.percent(f.margin)} left`;
}

function Line({ name, children }: { name: string; children: ComponentChildren }) {
  return (
    <>
      <dt>{name}</dt>
      <dd>{children}</dd>
    </>
  );
}

function FindingBody({ finding: f }: { finding: Finding }) {
  const [value, limit] = show.apart(f.value, f.limit);
  return (
    <dl class="facts">
      <Line name="Rule">{f.rule}</Line>
      <Line name="Found">{value}</Line>
      <Line name="Limit">{limit}</Line>
      <Line name="Margin">{marginWords(f)}</Line>
      {f.over_spread ? <Line name="Over the spread">{holds[f.over_spread]}</Line> : null}
      {f.remedy ? <Line name="What helps">{f.remedy}</Line> : null}
      <Line name="Source">
        <SourceName of={f.source} />
      </Line>
    </dl>
  );
}

function titleOf(e: Explanation): string {
  switch (e.kind) {
    case "working":
      return `Working of ${e.name}`;
    case "finding":
      return e.finding.subject;
    case "input":
      return e.input.name;
    case "given":
      return e.title;
  }
}

function Body({ of: e }: { of: Explanation }) {
  switch (e.kind) {
    case "working":
      return <NamedWorking name={e.name} option={e.option} />;
    case "finding":
      return <FindingBody finding={e.finding} />;
    case "given":
      return <WorkingBody working={e.working} workings={[]} />;
    case "input":
      return (
        <dl class="facts">
          <Line name="Value">{show.figure(e.input.value)}</Line>
          <Line name="Source">
            <SourceName of={e.input.source} />
          </Line>
        </dl>
      );
  }
}

/** The sheet on top; putting it away shows the one below. Stands once, in App. */
export function WorkingSheet() {
  const stack = explained.value;
  const top = stack[stack.length - 1];
  if (!top) return null;
  const back = () => {
    explained.value = stack.slice(0, -1);
  };
  return (
    <Dialog key={stack.length} title={titleOf(top)} onClose={back} wide>
      <Body of={top} />
    </Dialog>
  );
}
