import { useState } from "preact/hooks";
import { address, type Fault, faultOf, put } from "../api/client";
import type { ScheduleLine } from "../api/types";
import { ProblemLine } from "../parts/states";
import { client, edit, problemAt } from "../state/store";
import * as show from "../units/show";
import { fileName } from "./DriveModel";

export interface Wish {
  schedule: string;
  life: "new" | "end";
  once: boolean;
}

interface Props {
  wish: Wish;
  /** the schedule that the range is wanted on */
  wanted: string;
  lines: readonly ScheduleLine[];
  onWish(w: Partial<Wish>): void;
  onUploaded(id: string): void;
}

const CONSTANT = "constant ";

/** DriveChooser says what is driven: a schedule, a constant speed or an own route, new or aged, once or to empty. */
export function DriveChooser({ wish, wanted, lines, onWish, onUploaded }: Props) {
  const [fault, setFault] = useState<Fault | null>(null);
  const at = lines.find((l) => l.id === wish.schedule);
  const constant = wish.schedule.startsWith(CONSTANT);
  const want = async () =>
    setFault(await edit([{ op: "set", path: "targets.schedule", text: wish.schedule }]));
  return (
    <fieldset class="chooser">
      <legend class="only-read">What is driven</legend>
      <label>
        Schedule
        <select value={wish.schedule} onChange={(e) => onWish({ schedule: e.currentTarget.value })}>
          <Choices title="Built in" lines={lines.filter((l) => !l.file)} />
          <Choices title="Routes of the project" lines={lines.filter((l) => l.file)} />
          {!at && <option value={wish.schedule}>{wish.schedule}</option>}
        </select>
      </label>
      <ConstantSpeed
        key={wish.schedule}
        now={constant ? wish.schedule.slice(CONSTANT.length) : ""}
        onSpeed={(text) => onWish({ schedule: CONSTANT + text })}
      />
      <label>
        Cells
        <select
          value={wish.life}
          onChange={(e) => onWish({ life: e.currentTarget.value === "end" ? "end" : "new" })}
        >
          <option value="new">as bought</option>
          <option value="end">at the end of life</option>
        </select>
      </label>
      <label>
        From full
        <select
          value={wish.once ? "once" : "empty"}
          onChange={(e) => onWish({ once: e.currentTarget.value === "once" })}
        >
          <option value="empty">until empty</option>
          <option value="once">the schedule once</option>
        </select>
      </label>
      <Upload onUploaded={onUploaded} />
      {wish.schedule !== wanted && (
        <button type="button" class="button" onClick={() => void want()}>
          Want the range on this schedule
        </button>
      )}
      <ProblemLine problem={fault && problemAt(fault)} />
    </fieldset>
  );
}

function Choices({ title, lines }: { title: string; lines: readonly ScheduleLine[] }) {
  if (lines.length === 0) return null;
  return (
    <optgroup label={title}>
      {lines.map((l) => (
        <option key={l.id} value={l.id} disabled={l.error !== undefined && l.error !== ""}>
          {l.error ? `${l.id}: ${l.error}` : `${l.title}, ${show.distance(l.distance_m)}`}
        </option>
      ))}
    </optgroup>
  );
}

/** ConstantSpeed takes a speed as text; the server reads it. */
function ConstantSpeed({ now, onSpeed }: { now: string; onSpeed(text: string): void }) {
  const [text, setText] = useState(now);
  const send = () => {
    if (text.trim() !== "" && text.trim() !== now) onSpeed(text.trim());
  };
  return (
    <label>
      or a constant speed
      <input
        type="text"
        value={text}
        placeholder="60 km/h"
        spellcheck={false}
        onInput={(e) => setText(e.currentTarget.value)}
        onBlur={send}
        onKeyDown={(e) => {
          if (e.key === "Enter") send();
          else if (e.key === "Escape") setText(now);
        }}
      />
    </label>
  );
}

/** Upload puts a CSV or GPX file among the routes of the project. */
function Upload({ onUploaded }: { onUploaded(id: string): void }) {
  const [fault, setFault] = useState<Fault | null>(null);
  const [sending, setSending] = useState(false);
  const send = async (file: File) => {
    setSending(true);
    try {
      const line = await put<ScheduleLine>(
        address(`/api/routes/${encodeURIComponent(fileName(file.name))}`, { client }),
        file,
      );
      setFault(null);
      onUploaded(line.id);
    } catch (e) {
      setFault(faultOf(e));
    }
    setSending(false);
  };
  return (
    <>
      <label class="upload">
        Add a route, CSV or GPX
        <input
          type="file"
          accept=".csv,.gpx"
          disabled={sending}
          onChange={(e) => {
            const file = e.currentTarget.files?.[0];
            e.currentTarget.value = "";
            if (file) void send(file);
          }}
        />
      </label>
      <ProblemLine problem={fault && problemAt(fault)} />
    </>
  );
}
