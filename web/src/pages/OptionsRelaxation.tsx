import { useEffect, useState } from "preact/hooks";
import { aborted, type Fault, faultOf, post } from "../api/client";
import type { MissRow, Relaxation, Row } from "../api/types";
import { DataTable } from "../parts/DataTable";
import { Dialog } from "../parts/Dialog";
import { Busy, FaultNote, ProblemLine } from "../parts/states";
import { currency, edit, listen, notice, problemAt } from "../state/store";
import * as show from "../units/show";
import { relaxationOf } from "./OptionsModel";

interface Props {
  miss: MissRow;
  onClose(): void;
}

interface Asked {
  found: Relaxation | null;
  fault: Fault | null;
  share: number;
}

/** useRelaxation searches with the limits moved; leaving the sheet gives it up. */
function useRelaxation(miss: MissRow): Asked {
  const [asked, setAsked] = useState<Asked>({ found: null, fault: null, share: 0 });
  useEffect(() => {
    const call = new AbortController();
    const deaf = listen((topic, data) => {
      if (topic !== "progress" || !("preview" in data) || !data.preview) return;
      const share = data.total > 0 ? data.done / data.total : 0;
      setAsked((a) => ({ ...a, share }));
    });
    post<Relaxation>("/api/relaxation", relaxationOf(miss), call.signal).then(
      (found) => setAsked({ found, fault: null, share: 1 }),
      (e) => {
        if (!aborted(e)) setAsked({ found: null, fault: faultOf(e), share: 0 });
      },
    );
    return () => {
      deaf();
      call.abort();
    };
  }, [miss]);
  return asked;
}

/** OptionsRelaxation shows what one move of a limit would give, before it is made, and offers to make it. */
export function OptionsRelaxation({ miss, onClose }: Props) {
  const { found, fault, share } = useRelaxation(miss);
  return (
    <Dialog title="What this would give" onClose={onClose} wide>
      {fault && <FaultNote fault={fault} />}
      {!found && !fault && (
        <>
          <Busy what="searching with the limit moved" />
          <progress max={1} value={share} aria-label="progress of the search" />
          <p>
            <button type="button" class="button" onClick={onClose}>
              Give it up
            </button>
          </p>
        </>
      )}
      {found && <Found found={found} onClose={onClose} />}
    </Dialog>
  );
}

function Found({ found, onClose }: { found: Relaxation; onClose(): void }) {
  const [fault, setFault] = useState<Fault | null>(null);
  const [sending, setSending] = useState(false);
  const make = async () => {
    setSending(true);
    const outcome = await edit(found.ops, found.revision);
    setSending(false);
    setFault(outcome);
    if (outcome) return;
    notice.value = "the change is written; undo takes it back";
    onClose();
  };
  return (
    <>
      <dl class="facts">
        {found.changes.map((c) => (
          <Change key={c.name} {...c} />
        ))}
        <dt>Packs that fit</dt>
        <dd>
          {show.count(found.report?.packs_that_fit ?? 0)}, of which {show.count(found.new.length)} were not
          there before
        </dd>
        <dt>Options more</dt>
        <dd>{show.count(found.fits_more)}</dd>
      </dl>
      <NewPacks rows={found.new} />
      {found.ops.length > 0 ? (
        <p class="actions">
          <button type="button" class="button button-strong" disabled={sending} onClick={() => void make()}>
            Make this change in the file
          </button>{" "}
          One step; undo takes it back.
        </p>
      ) : (
        <p class="remark">
          This cannot be written here: the limit is a rating of a part, and no field of the file holds it. It
          takes another part, or one of your own in parts/.
        </p>
      )}
      <ProblemLine problem={fault && problemAt(fault)} />
    </>
  );
}

function Change({ name, from, to }: Relaxation["changes"][number]) {
  const [was, becomes] = from ? show.apart(from, to) : ["none", show.figure(to)];
  return (
    <>
      <dt>{name}</dt>
      <dd>
        {was} → <strong>{becomes}</strong>
      </dd>
    </>
  );
}

function NewPacks({ rows }: { rows: readonly Row[] }) {
  return (
    <DataTable
      caption="Packs that the change lets through"
      rows={rows}
      rowKey={(r) => r.id}
      most={10}
      empty="no pack is let through that was not there before"
      columns={[
        { key: "id", head: "Option", cell: (r) => r.id, sort: (r) => r.id },
        {
          key: "range",
          head: "Range",
          figure: true,
          cell: (r) => show.distance(r.range_m),
          sort: (r) => r.range_m,
        },
        {
          key: "mass",
          head: "Mass",
          figure: true,
          cell: (r) => show.mass(r.mass_kg),
          sort: (r) => r.mass_kg,
        },
        {
          key: "price",
          head: "Price",
          figure: true,
          cell: (r) => show.money(r.price, currency.value),
          sort: (r) => r.price,
        },
        {
          key: "margin",
          head: "Worst margin",
          figure: true,
          cell: (r) => show.percent(r.worst_margin),
          sort: (r) => r.worst_margin,
        },
        { key: "rule", head: "of", cell: (r) => r.worst_margin_rule, sort: (r) => r.worst_margin_rule },
        {
          key: "pareto",
          head: "Pareto",
          cell: (r) => (r.pareto ? "yes" : ""),
          sort: (r) => (r.pareto ? 0 : 1),
        },
      ]}
    />
  );
}
