import { address } from "../api/client";
import type { Compare, CompareRow, Figure } from "../api/types";
import { CsvLink } from "../parts/Download";
import { Sheet } from "../parts/Sheet";
import { Loaded } from "../parts/states";
import { useResource } from "../state/resource";
import * as show from "../units/show";

interface Props {
  a: string;
  b: string;
  onClear(): void;
}

/** OptionsCompare lays two options side by side and shows only what differs. */
export function OptionsCompare({ a, b, onClear }: Props) {
  const reply = useResource<Compare>(address("/api/compare", { a, b }), ["change", "assessed"]);
  return (
    <Sheet
      title="Two options, what differs"
      note={reply.data ? `${show.count(reply.data.same)} other figures are the same` : ""}
      wide
      tools={
        <>
          <CsvLink table="compare" query={address("", { a, b })} />
          <button type="button" class="take" onClick={onClear}>
            Put away
          </button>
        </>
      }
    >
      <Loaded of={reply} what="comparing">
        {(c) => <Table c={c} />}
      </Loaded>
    </Sheet>
  );
}

function Table({ c }: { c: Compare }) {
  const groups = [...new Set(c.rows.map((r) => r.group))];
  if (c.rows.length === 0) return <p class="remark">Nothing differs.</p>;
  return (
    // biome-ignore lint/a11y/useSemanticElements: a table that scrolls is no set of form fields
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be scrolled by key too
    <div class="table-wrap" role="group" aria-label="Two options, what differs" tabIndex={0}>
      <table class="table compare">
        <caption class="only-read">What differs between two options</caption>
        <thead>
          <tr>
            <th scope="col">Figure</th>
            <th scope="col" class="figure">
              {c.a}
            </th>
            <th scope="col" class="figure">
              {c.b}
            </th>
            <th scope="col" class="figure">
              Second less first
            </th>
          </tr>
        </thead>
        {groups.map((g) => (
          <tbody key={g}>
            <tr>
              <th scope="rowgroup" colSpan={4} class="group">
                {g}
              </th>
            </tr>
            {c.rows
              .filter((r) => r.group === g)
              .map((r) => (
                <CompareLine key={r.name} row={r} />
              ))}
          </tbody>
        ))}
      </table>
    </div>
  );
}

function CompareLine({ row }: { row: CompareRow }) {
  const both = row.a && row.b ? show.apart(row.a, row.b) : [one(row.a), one(row.b)];
  return (
    <tr>
      <th scope="row">{row.name}</th>
      <td class="figure">{row.a_text ?? both[0]}</td>
      <td class="figure">{row.b_text ?? both[1]}</td>
      <td class="figure">{row.difference ? show.signed(show.figure(row.difference)) : ""}</td>
    </tr>
  );
}

const one = (f: Figure | null) => (f ? show.figure(f) : "–");
