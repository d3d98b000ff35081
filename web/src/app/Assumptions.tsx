// The values that the builder did not give, and what stands in for them.

import type { AssumptionsReply } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { CsvLink } from "../parts/Download";
import { Page, Sheet } from "../parts/Sheet";
import { Loaded } from "../parts/states";
import { useResource } from "../state/resource";
import * as show from "../units/show";

export default function Assumptions() {
  const reply = useResource<AssumptionsReply>("/api/assumptions", ["assessed", "change"]);
  return (
    <Page
      title="Assumptions"
      lead="Values that the project does not give. Each stands in with a value from a source; give your own and it leaves this list."
    >
      <Sheet title="Assumed values" tools={<CsvLink table="assumptions" />} wide>
        <Loaded of={reply} what="collecting what was assumed">
          {(r) => (
            <DataTable
              caption="Assumed values"
              quiet
              rows={r.assumptions}
              rowKey={(a) => a.subject}
              empty="nothing is assumed: every value is given"
              columns={[
                { key: "subject", head: "Value", cell: (a) => a.subject, sort: (a) => a.subject },
                { key: "value", head: "Taken as", figure: true, cell: (a) => show.figure(a.value) },
                {
                  key: "source",
                  head: "From",
                  cell: (a) => a.source_title || a.source,
                  sort: (a) => a.source_title,
                },
              ]}
            />
          )}
        </Loaded>
      </Sheet>
    </Page>
  );
}
