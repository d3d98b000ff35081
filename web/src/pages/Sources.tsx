// The lots of cells and modules that can be had, side by side, and the
// catalogue they come from.

import { useState } from "preact/hooks";
import type { Parts, Sources as SourcesReply } from "../api/types";
import { CsvLink } from "../parts/Download";
import { useFile } from "../parts/FileForm";
import { Page, Sheet } from "../parts/Sheet";
import { Loaded } from "../parts/states";
import { useResource } from "../state/resource";
import { SourcesCatalogue } from "./SourcesCatalogue";
import { type CurveLine, SourcesCurves } from "./SourcesCurves";
import { SourcesLots } from "./SourcesLots";
import { SourcesPart } from "./SourcesPart";
import "./Sources.css";

const topics = ["change", "options"] as const;
const partTopics = ["change"] as const;

function lines(r: SourcesReply): CurveLine[] {
  return r.sources.flatMap((s) => (s.curves ? [{ name: s.name, cell: s.cell.title, curves: s.curves }] : []));
}

export default function Sources() {
  const sources = useResource<SourcesReply>("/api/sources", topics);
  const parts = useResource<Parts>("/api/parts", partTopics);
  const file = useFile();
  const [open, setOpen] = useState<string | null>(null);
  const shown = parts.data?.parts.find((p) => p.id === open);
  return (
    <Page
      title="Sources"
      lead="Lots of cells or modules that can be had: what each holds, what it weighs and what it costs."
    >
      <Sheet title="Lots side by side" note="pieces as bought" tools={<CsvLink table="sources" />} wide>
        <Loaded of={sources} what="reading the lots">
          {(r) => <SourcesLots reply={r} file={file.data} onPart={setOpen} />}
        </Loaded>
      </Sheet>
      <Sheet title="Curves of one cell" note="over the charge that the cell holds when new" wide>
        <Loaded of={sources} what="drawing the curves">
          {(r) => <SourcesCurves lines={lines(r)} />}
        </Loaded>
      </Sheet>
      <Sheet title="Catalogue" note="built in, and your own in parts/" tools={<CsvLink table="parts" />} wide>
        <Loaded of={parts} what="opening the catalogue">
          {(r) => <SourcesCatalogue parts={r.parts} onOpen={setOpen} />}
        </Loaded>
      </Sheet>
      {shown ? (
        <SourcesPart
          part={shown}
          hardware={parts.data?.parts.filter((p) => p.kind === "hardware") ?? []}
          onClose={() => setOpen(null)}
        />
      ) : null}
    </Page>
  );
}
