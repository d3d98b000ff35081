// The selected bay in words: every value of the file, in any unit.

import type { Field as FileField, FileReply } from "../api/types";
import { Field } from "../parts/Field";
import { ProblemLine } from "../parts/states";
import { BoxList } from "./BaysBoxes";
import { useRun } from "./BaysRun";
import { refused, selected } from "./baysState";

interface Line {
  key: string; // below the bay
  label: string;
}
const PLACE: Line[] = [
  { key: "at[0]", label: "behind the front axle" },
  { key: "at[1]", label: "left of the centre line" },
  { key: "at[2]", label: "above the ground" },
];
const SIZE: Line[] = [
  { key: "size[0]", label: "length" },
  { key: "size[1]", label: "width" },
  { key: "size[2]", label: "height" },
];
const BOX: Line[] = [
  { key: "wall", label: "wall and insulation" },
  { key: "clearance", label: "clearance to the wall" },
  { key: "gap", label: "gap between modules" },
  { key: "connector", label: "room over terminals" },
  { key: "opens", label: "opens at the" },
  { key: "mass_limit", label: "mass limit" },
  { key: "box_mass", label: "mass of the empty box" },
];
const TURN: Line[] = [
  { key: "name", label: "name" },
  { key: "yaw", label: "turned about the vertical" },
  { key: "pitch", label: "tilted, rear end down" },
];

const bare = (path: string): FileField => ({
  path,
  text: "",
  given: false,
  noun: "",
  required: false,
  doc: "",
});

function useFields(file: FileReply) {
  const byPath = new Map(file.fields.map((f) => [f.path, f]));
  return (path: string) => byPath.get(path) ?? bare(path);
}

function Lines({
  at,
  bay,
  lines,
  field,
}: {
  at: string;
  bay: string;
  lines: Line[];
  field: (p: string) => FileField;
}) {
  return (
    <dl class="bays-lines">
      {lines.map((l) => {
        const f = field(`${at}.${l.key}`);
        return (
          <div key={l.key} class={l.key === "name" ? "is-wide" : undefined}>
            <dt title={f.doc}>{l.label}</dt>
            <dd>
              <Field
                path={f.path}
                text={f.text}
                label={`${bay}: ${l.label}`}
                figure={!f.one_of}
                required={f.required || /^(at|size)\[/.test(l.key)}
                {...(f.one_of ? { oneOf: f.one_of } : {})}
                {...(f.given ? {} : { placeholder: l.key === "opens" ? "top" : "not given" })}
                onDone={(fault) => {
                  if (!fault) refused.value = null;
                }}
              />
            </dd>
          </div>
        );
      })}
    </dl>
  );
}

const KEEP_OUT = { at: ["0 mm", "0 mm", "0 mm"], size: ["100 mm", "100 mm", "100 mm"] };

export function BaysForm({ file, path }: { file: FileReply; path: string }) {
  const field = useFields(file);
  const { run, problem } = useRun();
  const name = field(`${path}.name`).text;
  const counted = (list: string) => file.lists.find((l) => l.path === `${path}.${list}`)?.count ?? 0;
  const keepOuts = counted("keep_out");
  const boxes = counted("boxes");
  const bays = file.lists.find((l) => l.path === "bays")?.count ?? 0;
  const addKeepOut = () =>
    run(
      keepOuts === 0
        ? [{ op: "insert", path: `${path}.keep_out`, value: [KEEP_OUT] }]
        : [{ op: "insert", path: `${path}.keep_out`, value: KEEP_OUT }],
    );
  return (
    <div class="bays-form">
      <div class="bays-columns">
        <div>
          <h3>Front right lower corner</h3>
          <Lines at={path} bay={name} field={field} lines={PLACE} />
        </div>
        {boxes > 0 ? null : (
          <div>
            <h3>Size</h3>
            <Lines at={path} bay={name} field={field} lines={SIZE} />
          </div>
        )}
        <div>
          <h3>Battery box</h3>
          <Lines at={path} bay={name} field={field} lines={BOX} />
        </div>
        <div>
          <h3>Name and turn</h3>
          <Lines at={path} bay={name} field={field} lines={TURN} />
        </div>
      </div>
      {boxes > 0 ? (
        <>
          <h3>Boxes that make it together</h3>
          <BoxList
            path={`${path}.boxes`}
            bay={name}
            what="box"
            field={field}
            count={boxes}
            run={run}
            least={1}
          />
        </>
      ) : null}
      <h3>Keep-outs: what must stay free inside</h3>
      {keepOuts === 0 ? (
        <p class="small">None.</p>
      ) : (
        <BoxList
          path={`${path}.keep_out`}
          bay={name}
          what="keep-out"
          field={field}
          count={keepOuts}
          run={run}
          least={0}
        />
      )}
      <ProblemLine problem={problem} />
      <p class="bays-buttons">
        <button type="button" class="button" onClick={() => void addKeepOut()}>
          Add a keep-out
        </button>
        <button
          type="button"
          class="button button-plain"
          disabled={bays < 2}
          onClick={async () => {
            if (await run([{ op: "delete", path }])) selected.value = "";
          }}
        >
          Take the bay out
        </button>
      </p>
    </div>
  );
}
