import { useRef } from "preact/hooks";
import type { Drive } from "../api/types";
import { FlowChart } from "../charts/FlowChart";
import { standalone } from "../charts/picture";
import { DataTable } from "../parts/DataTable";
import { PictureLinks } from "../parts/Download";
import { Sheet } from "../parts/Sheet";
import * as show from "../units/show";
import { flowRows, high } from "./DriveModel";

/** DriveFlow shows where the energy went from the wall to the wheel, as bands and as numbers. */
export function DriveFlow({ drive }: { drive: Drive }) {
  const box = useRef<HTMLDivElement>(null);
  const { flow, run } = drive;
  const rows = flowRows(flow.nodes, flow.links);
  const unit = show.scale(
    "energy",
    rows.map((r) => r.energy_j),
  );
  return (
    <Sheet
      title="From the wall to the wheel"
      note={`${run.schedule}, ${run.life}; all figures of the whole run`}
      wide
      tools={
        <PictureLinks
          svg={() => standalone(box.current?.querySelector("svg[data-picture]") as SVGSVGElement)}
          name={`energy-${run.schedule}`}
        />
      }
    >
      <div ref={box}>
        <FlowChart
          title={`energy from the wall to the wheel, ${run.schedule}, ${run.life}`}
          nodes={flow.nodes}
          links={flow.links}
          words={(e) => show.energy(e as (typeof flow.links)[number]["energy_j"])}
          high={high}
        />
      </div>
      <p class="quiet">
        The terms are worked out each by its own formula; what does not close is {residual(flow.residual)} of
        what flowed through the terminals.
      </p>
      <details>
        <summary>The numbers of the drawing</summary>
        <DataTable
          caption="Energy on its way"
          quiet
          rows={rows}
          rowKey={(r) => `${r.from}>${r.to}`}
          columns={[
            { key: "from", head: "From", cell: (r) => r.fromName, sort: (r) => r.fromName },
            { key: "to", head: "To", cell: (r) => r.toName, sort: (r) => r.toName },
            {
              key: "energy",
              head: "Energy",
              unit: unit.unit,
              figure: true,
              cell: (r) => unit.text(r.energy_j),
              sort: (r) => r.energy_j,
            },
            { key: "back", head: "Given back", cell: (r) => (r.returned ? "yes" : "") },
          ]}
        />
      </details>
    </Sheet>
  );
}

const residual = (r: number) => (r === 0 ? "nothing" : `${show.number(r, 2)}`);
