// Two edits of one value: both are shown, and the user chooses.

import { Dialog } from "../parts/Dialog";
import { conflict } from "../state/store";

const said = (text: string | null) => (text === null ? <em>not there</em> : text);

export function ConflictDialog() {
  const c = conflict.value;
  if (!c) return null;
  return (
    <Dialog title="Changed in two places at once" onClose={() => c.settle(false)} wide>
      <p>Someone else wrote other values since this page showed them. Nothing is lost: choose which hold.</p>
      <table class="table">
        <caption class="only-read">Values in conflict</caption>
        <thead>
          <tr>
            <th scope="col">Value</th>
            <th scope="col">Before</th>
            <th scope="col">Theirs, in the file now</th>
            <th scope="col">Yours</th>
          </tr>
        </thead>
        <tbody>
          {c.conflicts.map((x) => (
            <tr key={x.path}>
              <th scope="row">{x.path}</th>
              <td>{said(x.base)}</td>
              <td>{said(x.theirs)}</td>
              <td>{said(x.yours)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p class="actions">
        <button type="button" class="button" onClick={() => c.settle(false)}>
          Keep theirs
        </button>
        <button type="button" class="button button-strong" onClick={() => c.settle(true)}>
          Write mine
        </button>
      </p>
    </Dialog>
  );
}
