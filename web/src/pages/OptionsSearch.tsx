import { useState } from "preact/hooks";
import { type Fault, faultOf, post, remove } from "../api/client";
import { FaultNote } from "../parts/states";
import { revision, search } from "../state/store";
import * as show from "../units/show";

/** OptionsSearch says how far the search is, lets it be given up or started anew, and says when what is shown is older than the file. of is the revision of the packs shown, 0 for none. */
export function OptionsSearch({ of }: { of: number }) {
  const [fault, setFault] = useState<Fault | null>(null);
  const s = search.value;
  if (!s) return null;
  const old = of > 0 && of < revision.value;
  const send = async (work: () => Promise<unknown>) => {
    try {
      await work();
      setFault(null);
    } catch (e) {
      setFault(faultOf(e));
    }
  };
  if (!s.running && !old && !s.error && !fault) return null;
  return (
    <div class="search" role="status">
      {s.running && (
        <p class="search-line">
          <progress max={Math.max(s.total, 1)} value={s.done} aria-label="progress of the search" />
          <span>
            {s.total > 0 ? `Searching: ${show.count(s.done)} of ${show.count(s.total)} blocks` : "Searching"}
          </span>
          <button type="button" class="button" onClick={() => void send(() => remove("/api/search"))}>
            Give up the search
          </button>
        </p>
      )}
      {old && (
        <p class="old">
          The packs shown are older than the file: a change was made since they were searched.
        </p>
      )}
      {!s.running && (s.error || old) && (
        <p class="search-line">
          {s.error && <span>{s.error}</span>}
          <button type="button" class="button" onClick={() => void send(() => post("/api/search", {}))}>
            Search now
          </button>
        </p>
      )}
      {fault && <FaultNote fault={fault} />}
    </div>
  );
}
