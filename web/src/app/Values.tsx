// Everything that packyard.yaml can hold, and the file as it is.

import { FileForm, useFile } from "../parts/FileForm";
import { Page, Sheet } from "../parts/Sheet";
import { Loaded } from "../parts/states";
import "./Values.css";

const parts: readonly { title: string; note: string; under: readonly string[] }[] = [
  {
    title: "Project",
    note: "title, currency, how options are ranked",
    under: ["title", "invented", "currency", "packyard", "choose"],
  },
  { title: "Donor", note: "the vehicle and its mass ledger", under: ["donor"] },
  { title: "Road", note: "what it rolls on and through", under: ["road"] },
  { title: "Drive", note: "motor, inverter and what the pack feeds", under: ["drive"] },
  { title: "Bays", note: "spaces for modules", under: ["bays"] },
  { title: "Build", note: "what a pack needs besides cells", under: ["build"] },
  { title: "Sources", note: "lots that can be had", under: ["sources"] },
  { title: "Targets", note: "what it is to do", under: ["targets"] },
];

export default function Values() {
  const file = useFile();
  return (
    <Page
      title="All values"
      lead="Every value of packyard.yaml. What you write here is spliced into the file; its comments and layout stay."
    >
      <nav class="values-index" aria-label="Parts of the file">
        {parts.map((p) => (
          <a key={p.title} href={`#${p.title}`}>
            {p.title}
          </a>
        ))}
        <a href="#file">The file</a>
      </nav>
      {parts.map((p) => (
        <div key={p.title} id={p.title}>
          <Sheet title={p.title} note={p.note} wide>
            <FileForm under={p.under} />
          </Sheet>
        </div>
      ))}
      <div id="file">
        <Sheet title="The file" note="packyard.yaml, as it stands on disk" wide>
          <Loaded of={file} what="reading the file">
            {(f) => (
              <textarea
                class="file-text"
                readOnly
                rows={30}
                aria-label="text of packyard.yaml"
                value={f.text}
              />
            )}
          </Loaded>
        </Sheet>
      </div>
    </Page>
  );
}
