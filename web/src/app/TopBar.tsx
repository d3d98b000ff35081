import { type System, type Theme, theme, units } from "../state/prefs";
import { redo, state, undo } from "../state/store";

function UndoRedo() {
  const s = state.value;
  return (
    <span class="group">
      <button type="button" class="button" disabled={!s?.undo} title="Ctrl+Z" onClick={() => void undo()}>
        Undo
      </button>
      <button
        type="button"
        class="button"
        disabled={!s?.redo}
        title="Ctrl+Shift+Z"
        onClick={() => void redo()}
      >
        Redo
      </button>
    </span>
  );
}

function Preferences() {
  return (
    <span class="group">
      <label class="preference">
        <span>Units</span>
        <select
          value={units.value}
          onChange={(e) => {
            units.value = e.currentTarget.value as System;
          }}
        >
          <option value="si">SI</option>
          <option value="us">US</option>
        </select>
      </label>
      <label class="preference">
        <span>Ground</span>
        <select
          value={theme.value}
          onChange={(e) => {
            theme.value = e.currentTarget.value as Theme;
          }}
        >
          <option value="system">as system</option>
          <option value="light">paper</option>
          <option value="dark">dark</option>
        </select>
      </label>
    </span>
  );
}

export function TopBar() {
  const s = state.value;
  return (
    <div class="topbar">
      <p class="name">
        <span class="name-program">packyard</span>
        {s?.present ? <span class="name-project">{s.project}</span> : null}
        {s?.invented_data ? <span class="name-invented">invented demonstration data</span> : null}
      </p>
      {s?.present ? <UndoRedo /> : null}
      <Preferences />
    </div>
  );
}
