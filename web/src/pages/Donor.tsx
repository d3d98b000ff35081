// The donor: what is known of the vehicle, what leaves it and what comes, and
// what that does to its axles.

import type { Donor as DonorReply, Finding } from "../api/types";
import { PictureLinks } from "../parts/Download";
import { Explained } from "../parts/Explained";
import { FileForm } from "../parts/FileForm";
import { Findings } from "../parts/Findings";
import { Picture, pictureAddress } from "../parts/Picture";
import { Page, Sheet } from "../parts/Sheet";
import { Loaded } from "../parts/states";
import { useResource } from "../state/resource";
import * as show from "../units/show";
import { DonorLedger } from "./DonorLedger";
import { DonorLoads } from "./DonorLoads";
import "./Donor.css";

const topics = ["change", "headline"] as const;
const ledgerPaths = ["donor.removed", "donor.added", "donor.load_cases"];

function Stability({ donor }: { donor: DonorReply }) {
  return (
    <Sheet title="Handling" note="as it stands on the road">
      {donor.stability.length === 0 ? (
        <p class="quiet">Shown when an option is there.</p>
      ) : (
        <dl class="facts facts-figures">
          {donor.stability.map((s) => (
            <div key={s.name}>
              <dt>{s.name}</dt>
              <dd>
                <Explained of={{ kind: "input", input: s }}>{show.figure(s.value)}</Explained>
              </dd>
            </div>
          ))}
        </dl>
      )}
      {donor.room_kg === null ? null : (
        <p class="quiet">{`The first rating is reached with a pack of ${show.mass(donor.room_kg)} in the same place.`}</p>
      )}
    </Sheet>
  );
}

/** The findings of all states; those that only say that all is well are left out. */
function Worth({ donor }: { donor: DonorReply }) {
  const states = new Map<Finding, string>();
  for (const s of donor.findings)
    for (const f of s.findings) if (f.severity !== "note") states.set(f, s.state);
  // The state stands in a line of its own, so the subject need not name it.
  const about = (f: Finding) => (
    <>
      {f.subject.replace(` in state ${states.get(f)}`, "")}
      <span class="state-name">{states.get(f)}</span>
    </>
  );
  return <Findings list={[...states.keys()]} about={about} caption="What is near or beyond a rating" />;
}

function Form({ title, note, under, but }: { title: string; note: string; under: string[]; but?: string[] }) {
  return (
    <Sheet title={title} note={note} wide>
      <FileForm under={under} {...(but ? { but } : {})} />
    </Sheet>
  );
}

export default function Donor() {
  const reply = useResource<DonorReply>("/api/donor", topics);
  return (
    <Page
      title="Donor"
      lead="The vehicle as it was weighed, what leaves it, what comes into it, and what its axles say to that."
    >
      <Loaded of={reply} what="weighing the vehicle">
        {(donor) => (
          <div class="page donor">
            <Sheet
              title="Side view"
              note="before and after"
              tools={<PictureLinks svg={pictureAddress("side")} name="side view" />}
            >
              <Picture
                name="side"
                label="Side view of the vehicle with axle loads and centre of gravity before and after"
              />
            </Sheet>
            <div class="donor-beside">
              <Stability donor={donor} />
              <Sheet title="Near or beyond a rating">
                <Worth donor={donor} />
              </Sheet>
            </div>
            <DonorLoads donor={donor} />
            <DonorLedger donor={donor} />
          </div>
        )}
      </Loaded>
      <Form title="Vehicle" note="as weighed, and what it may weigh" under={["donor"]} but={ledgerPaths} />
      <Form title="Road" note="what it rolls on and through" under={["road"]} />
      <Form title="Drive" note="motor, inverter and what the pack feeds" under={["drive"]} />
      <Form title="Targets" note="what it is to do" under={["targets", "choose"]} />
    </Page>
  );
}
