// What the server says. The types are generated from the Go structs; here
// stand only the names of parts of them.

export type * from "./types.gen";

import type { ApiError, Finding } from "./types.gen";

export type ErrorKind = ApiError["kind"];
export type Severity = Finding["severity"];
