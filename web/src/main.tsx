import "./tokens.css";
import "./base.css";
import "./parts/parts.css";
import "./parts/forms.css";
import "./app/app.css";
import { render } from "preact";
import { App } from "./app/App";
import { followPrefs } from "./state/prefs";
import { start } from "./state/store";

followPrefs();
start();
const root = document.getElementById("app");
if (root) render(<App />, root);
