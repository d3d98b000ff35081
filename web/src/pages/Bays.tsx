// Bays: the spaces that were never meant for a battery, and what stands in them.

import { useEffect, useRef, useState } from "preact/hooks";
import type { Bays as BaysReply, FileReply } from "../api/types";
import { standalone } from "../charts/picture";
import { PictureLinks } from "../parts/Download";
import { Page, Sheet } from "../parts/Sheet";
import { Loaded, ProblemLine } from "../parts/states";
import { useResource } from "../state/resource";
import { headline, search } from "../state/store";
import { BaysForm } from "./BaysForm";
import { BaysRoom } from "./BaysRoom";
import { useRun } from "./BaysRun";
import { BaysScene } from "./BaysScene";
import { BaysSheet } from "./BaysSheet";
import { mm } from "./baysGeometry";
import type { Shown } from "./baysLayout";
import { refused, selected } from "./baysState";
import "./Bays.css";

const VIEWS: { shown: Shown; words: string }[] = [
  { shown: "all", words: "All three" },
  { shown: "side", words: "Side" },
  { shown: "top", words: "Top" },
  { shown: "front", words: "Front" },
];

function Lead({ d }: { d: BaysReply }) {
  if (d.option !== "")
    return (
      <>
        With {d.option} in place{headline.value?.chosen ? ", the chosen option" : ", the leading option"}.
      </>
    );
  return (
    <>
      {search.value?.running
        ? "Options are being searched."
        : "No option fits yet: the bays are shown empty."}
    </>
  );
}

/** A name that no bay has, and a place in the middle of the vehicle. */
function newBay(d: BaysReply) {
  let n = d.bays.length + 1;
  while (d.bays.some((b) => b.name === `bay ${n}`)) n++;
  const size = [0.6, 0.5, 0.3];
  const at = [d.wheelbase_m / 2 - 0.3, -0.25, d.tyre_radius_m];
  return { name: `bay ${n}`, at: at.map(mm), size: size.map(mm) };
}

function Views({ d }: { d: BaysReply }) {
  const [shown, setShown] = useState<Shown>("all");
  const within = useRef<HTMLDivElement>(null);
  const drawn = () => {
    const svg = within.current?.querySelector<SVGSVGElement>("svg[data-picture]");
    return svg ? standalone(svg) : "";
  };
  return (
    <div ref={within}>
      <div class="bays-tools">
        <fieldset class="bays-eyes">
          <legend class="only-read">Views shown</legend>
          {VIEWS.map((v) => (
            <button
              key={v.shown}
              type="button"
              class="button button-plain"
              aria-pressed={shown === v.shown}
              onClick={() => setShown(v.shown)}
            >
              {v.words}
            </button>
          ))}
        </fieldset>
        <span class="bays-take">
          <PictureLinks name="bays" svg={drawn} />
        </span>
      </div>
      <BaysSheet d={d} shown={shown} />
      <ProblemLine problem={refused.value} />
      <p class="small">
        Drag a bay, or one of its ends. With the keyboard: Enter selects a bay, arrow keys move it by 5 mm,
        with Shift by 50 mm, with Alt they pull out the end they point to; Escape puts it back.
      </p>
    </div>
  );
}

function Selected({ d, file }: { d: BaysReply; file: FileReply | null }) {
  const bay = d.bays.find((b) => b.path === selected.value);
  return (
    <Sheet title={bay ? `Bay: ${bay.name}` : "Bay"} wide>
      {bay && file ? (
        <BaysForm key={bay.path} file={file} path={bay.path} />
      ) : (
        <p class="small">Select a bay in any view.</p>
      )}
    </Sheet>
  );
}

function Content({ d, file }: { d: BaysReply; file: FileReply | null }) {
  const { run, problem } = useRun();
  const add = async () => {
    if (await run([{ op: "insert", path: "bays", value: newBay(d) }]))
      selected.value = `bays[${d.bays.length}]`;
  };
  return (
    <div class="bays-page">
      <Sheet title="Three views" note="first-angle projection">
        <Views d={d} />
      </Sheet>
      <Sheet title="In three dimensions">
        <BaysScene d={d} />
      </Sheet>
      <Selected d={d} file={file} />
      <Sheet
        title="Room"
        wide
        tools={
          <button type="button" class="button" onClick={() => void add()}>
            Add a bay
          </button>
        }
      >
        <ProblemLine problem={problem} />
        <BaysRoom d={d} />
      </Sheet>
    </div>
  );
}

export default function Bays() {
  const bays = useResource<BaysReply>("/api/bays", ["change", "headline", "options"]);
  const file = useResource<FileReply>("/api/file", ["change"]);
  const first = bays.data?.bays[0]?.path ?? "";
  const known = bays.data?.bays.some((b) => b.path === selected.value) ?? true;
  useEffect(() => {
    if (!known) selected.value = first;
  }, [known, first]);
  return (
    <Page title="Bays" lead={bays.data ? <Lead d={bays.data} /> : null}>
      <Loaded of={bays} what="Reading the bays">
        {(d) => <Content d={d} file={file.data} />}
      </Loaded>
    </Page>
  );
}
